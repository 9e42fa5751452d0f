"""What is printed or sent: text, PDF, FHIR and tables."""
