"""What is seen: Textual screens, one folder a role, and the widgets that they share."""
