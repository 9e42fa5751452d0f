"""The nouns: frozen models of what is written in the files and what happens in a session."""
