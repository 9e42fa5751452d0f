"""What a motion sensor on the forearm saw: a table in, frozen results with their uncertainty out. Pure but for NumPy."""
