"""The coach's view of the client's screens while content is edited."""
