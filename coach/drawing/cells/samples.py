"""How finely a picture is drawn before it becomes signs."""

ACROSS, DOWN = 6, 12
"""Samples of one cell: square, as a cell is twice as high as wide, and divisible by the parts of every sign."""

ALL_SAMPLES = (1 << ACROSS * DOWN) - 1
"""Every sample of one cell, as bits."""
