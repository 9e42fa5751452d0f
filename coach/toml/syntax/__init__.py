"""Slips in writing a TOML file that the parser has no words for."""
