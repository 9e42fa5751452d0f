"""Steady Arc: a guided elastic-band session for the rotator cuff, and the progression that follows from it."""

__version__ = "0.1.0"
