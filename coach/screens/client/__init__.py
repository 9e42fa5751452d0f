"""The client's session."""
