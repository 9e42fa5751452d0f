"""Drawings of the setup, to scale: for a terminal, for paper, in facts for words; and the large letters."""
