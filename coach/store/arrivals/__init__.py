"""What came into a folder with sealed files: put in place, told of, and noted as seen."""
