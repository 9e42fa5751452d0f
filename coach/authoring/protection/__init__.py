"""Whether a content still protects a client as the content that came with the program does."""
