"""The names that copies of a file are given, and those that an editor gives what it keeps beside an open file."""

from collections.abc import Iterable
from pathlib import Path


def is_name_of_copy(name: str, path: Path) -> bool:
    """Whether a file of this name beside `path` is a copy of it, as programs that synchronise folders call them.

    It has the name of the file with something added after a character that is no letter and no digit.
    """
    rest = name.casefold().removeprefix(path.stem.casefold())
    if name == path.name or rest == name.casefold() or not rest.endswith(path.suffix):
        return False
    return not (rest[0].isalnum() or rest[0] == "_")


def is_of_an_editor(path: Path) -> bool:
    """Whether an editor keeps this for itself: hidden, or with a sign at its ends that no file of ours has."""
    return path.name.startswith((".", "#", "~")) or path.name.endswith(("~", "#"))


def without_copies(paths: Iterable[Path]) -> tuple[Path, ...]:
    """The files of one folder in order, without the copies of one that is among them and what editors keep."""
    every = tuple(sorted(path for path in paths if not is_of_an_editor(path)))
    return tuple(one for one in every if not any(is_name_of_copy(one.name, other) for other in every))
