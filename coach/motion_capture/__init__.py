"""What a sensor on the forearm saw: a table in, frozen results with their uncertainty out."""
