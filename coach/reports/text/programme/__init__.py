"""Reports on a session of several exercises as text."""
