"""Frozen data models: the contents of files and the events of a session."""
