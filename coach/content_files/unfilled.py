"""What is still to be filled in: the files of a new exercise are made with a mark in place of each value."""

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from coach.model.exercise import Exercise
from coach.model.messages.entries import ExerciseMessages
from coach.toml.diagnostic import Diagnostic, FileFault
from coach.toml.expected import KeyPath, describe, expected_at
from coach.toml.reader import read_text
from coach.toml.source_file import SourceFile
from coach.toml.syntax_faults import parse_tolerantly

UNFILLED = "???"


def unfilled_values(path: Path) -> Iterator[Diagnostic]:
    """A fault for each mark in the file of an exercise, or of its messages; none if the file cannot be read."""
    try:
        text = read_text(path)
    except FileFault:
        return
    if UNFILLED not in text:
        return
    data = parse_tolerantly(text, path)[0]
    model = Exercise if path.parent.name == "exercises" else ExerciseMessages
    source = SourceFile(path)
    for key in _marked(data, ()):
        here = expected_at(model, key, data)
        name = next(str(part) for part in reversed(key) if isinstance(part, str))
        what = f"{name} is still to be filled in"
        fix = f'write it in place of "{UNFILLED}"; the comment above says what it is'
        yield source.at_value(key, what, describe(here) if here is not None else "", fix)


def without_same_lines(faults: Iterable[Diagnostic], unfilled: Iterable[Diagnostic]) -> tuple[Diagnostic, ...]:
    """The faults without those of a line in which something is still to be filled in."""
    marked = [*unfilled]
    lines = {(one.path, one.line) for one in marked}
    return tuple(fault for fault in faults if fault in marked or (fault.path, fault.line) not in lines)


def _marked(value: object, key: KeyPath) -> Iterator[KeyPath]:
    if value == UNFILLED:
        yield key
    items = value.items() if isinstance(value, Mapping) else enumerate(value) if isinstance(value, list) else ()
    for part, inner in items:
        yield from _marked(inner, (*key, part))
