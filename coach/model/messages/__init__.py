"""Models of the message files of one language: the entries of the content, and one module for each reader."""
