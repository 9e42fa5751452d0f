"""Drawings of the setup, to scale, for terminal and paper; their description in numbers; and large letters."""
