"""What is printed or sent."""
