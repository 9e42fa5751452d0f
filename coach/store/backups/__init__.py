"""Backups: clients in one ZIP file and back, one file at a time, so that their number does not count."""
