"""Commands for the files between home and clinic."""
