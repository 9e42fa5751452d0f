"""Characters that a terminal would act on instead of showing them."""

import unicodedata

# Bidirectional marks can make a line read differently from what it holds.
_BIDIRECTIONAL = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def is_control(character: str) -> bool:
    """Whether a terminal would act on a character, or on the order of its neighbours, instead of showing it."""
    return unicodedata.category(character) in ("Cc", "Cs", "Zl", "Zp") or character in _BIDIRECTIONAL
