"""CSV and JSON for other tools."""
