"""Measured sets in sentences: beside the answers, over a course, and which sets of a session a table holds."""
