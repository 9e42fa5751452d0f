"""What is looked back on and compared, in numbers and lines: the same for the screens and for the reports. Pure."""
