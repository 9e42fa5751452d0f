"""What a sensor measured of a set, as it is kept, and how it compares with what was asked and answered."""
