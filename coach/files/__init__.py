"""Files: all reading and writing, with faults shown at their place."""
