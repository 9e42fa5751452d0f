"""What a sensor measured, where it counts for the progression."""
