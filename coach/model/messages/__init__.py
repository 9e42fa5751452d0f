"""The words of one page or command each, a file of their own in each language."""
