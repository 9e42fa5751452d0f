"""The session line by line: the same pages through the same runner, for screen readers, pipes and thin terminals."""
