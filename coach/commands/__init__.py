"""The commands, by who gives them: each a few lines that call the rooms below, which are imported when needed."""
