"""The name that a misspelt one was probably meant to be."""

from collections.abc import Iterable
from difflib import get_close_matches

_LONGEST = 100  # characters that are compared; no name of a file is as long
_TYPO, _ALIKE = 0.8, 0.6  # least similarity, as difflib measures it


def nearest_name(word: str, names: Iterable[str]) -> str | None:
    """The name most like a misspelt word, or None if none is like it.

    A slip in the whole name comes first, then a name of which only the beginning was written ("freeze" for
    freeze_load), then what is merely alike.
    """
    plain = word.lower().replace("-", "_").replace(" ", "_")[:_LONGEST]
    whole = {name: name for name in names}
    parts = plain.count("_") + 1
    beginnings: dict[str, str] = {}
    for name in whole:
        beginnings.setdefault("_".join(name.split("_")[:parts]), name)
    for forms, similarity in ((whole, _TYPO), (beginnings, _TYPO), (whole, _ALIKE)):
        close = get_close_matches(plain, forms, n=1, cutoff=similarity)
        if close:
            return forms[close[0]]
    return None
