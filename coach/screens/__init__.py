"""The user interface: Textual screens in one folder per role, plain-text sessions, sound, and shared widgets."""
