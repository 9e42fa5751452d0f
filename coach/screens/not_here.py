"""The word that a session cannot be shown here."""


class NotHere(Exception):
    """No session can be shown here, and why: the terminal is too small, or nothing can be typed."""
