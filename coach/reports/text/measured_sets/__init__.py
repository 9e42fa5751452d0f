"""A sensor's table as text, and the angle of a set over time as a chart."""
