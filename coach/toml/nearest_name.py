"""The name that a misspelt one was probably meant to be, and the names that copies of a file are given."""

from collections.abc import Iterable
from difflib import get_close_matches
from pathlib import Path

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


def is_name_of_copy(name: str, path: Path) -> bool:
    """Whether a file of this name beside `path` is a copy of it, as programs that synchronise folders call them.

    It has the name of the file with something added after a character that is no letter and no digit.
    """
    rest = name.casefold().removeprefix(path.stem.casefold())
    if name == path.name or rest == name.casefold() or not rest.endswith(path.suffix):
        return False
    return not (rest[0].isalnum() or rest[0] == "_")


def without_copies(paths: Iterable[Path]) -> tuple[Path, ...]:
    """The files of one folder in order, without the copies of one that is among them."""
    every = tuple(sorted(paths))
    return tuple(one for one in every if not any(is_name_of_copy(one.name, other) for other in every))
