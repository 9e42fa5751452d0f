"""One module for each command, or for a pair that belongs together. Costly imports are made when a command runs."""
