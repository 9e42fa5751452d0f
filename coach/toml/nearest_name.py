"""The name that a misspelt one was probably meant to be."""

from collections.abc import Iterable, Sequence
from difflib import SequenceMatcher, get_close_matches

_LONGEST = 100  # characters that are compared; no name of a file is as long
_TYPO, _ALIKE = 0.8, 0.6  # least similarity, as difflib measures it
_DENIALS, _DENYING = ("not", "no", "non", "without"), ("not", "non", "no", "un")  # words, and beginnings of words


def nearest_name(word: str, names: Iterable[str]) -> str | None:
    """The name most like a misspelt word, or None if none is like it.

    A slip in the whole name comes first, then a name of which only the beginning was written ("freeze" for
    freeze_load), then what is merely alike. A name that says the opposite of the word is never meant.
    """
    plain = _plain(word)[:_LONGEST]
    whole = {name: name for name in names if not _opposite(plain, _plain(name))}
    parts = plain.count("_") + 1
    beginnings: dict[str, str] = {}
    for name in whole:
        beginnings.setdefault("_".join(name.split("_")[:parts]), name)
    for forms, similarity in ((whole, _TYPO), (beginnings, _TYPO), (whole, _ALIKE)):
        close = get_close_matches(plain, forms, n=1, cutoff=similarity)
        if close:
            return forms[close[0]]
    return None


def _plain(word: str) -> str:
    return word.lower().replace("-", "_").replace(" ", "_")


def _opposite(word: str, name: str) -> bool:
    """Whether one of the two denies something and the other does not: not_reached and goal_reached."""
    words, others = word.split("_"), name.split("_")
    return _denies(words, others) != _denies(others, words)


def _denies(words: Sequence[str], others: Sequence[str]) -> bool:
    """Whether there is a not among some words, misspelt or not, or the un of what the others say without it."""
    return any(
        one in _DENIALS
        or any(other in _DENIALS and _similarity(one, other) >= _ALIKE for other in others)
        or any(
            one.startswith(beginning) and get_close_matches(one.removeprefix(beginning), others, n=1, cutoff=_TYPO)
            for beginning in _DENYING
        )
        for one in words
    )


def _similarity(word: str, other: str) -> float:
    return SequenceMatcher(None, word, other).ratio()
