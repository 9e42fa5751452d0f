"""LANGUAGE/coach.toml: what the coach reads while editing the content."""

from typing import Literal

from coach.model.base import Complete, Frozen, Line

ProofKey = Literal[
    "following",
    "before",
    "part",
    "changed",
    "position",
    "exercise",
    "language",
    "size",
    "theme",
    "leave",
    "move",
    "faults",
]


class ProofMessages(Frozen):
    """Messages around the client's screens while content is edited."""

    title: Line
    purpose: Line
    place: Line
    right: Line
    changed: Line
    broken: Line
    never: Line
    not_made: Line
    shown_on: Line
    not_found: Line
    above: Line
    below: Line
    now: Complete[Literal["next", "changed", "mend", "save"], Line]
    keys: Complete[ProofKey, Line]


class ChangedMessages(Frozen):
    """What an edit of the content changes, and for which clients."""

    before: Line
    after: Line
    alike: Line
    script: Line
    lines: Line
    values: Line
    nothing: Line
    clients: Line
    touched: Line
    untouched: Line
    not_read: Line


class NewMessages(Frozen):
    """What was begun, and what comes next."""

    exercise: Line
    content: Line


class CoachMessages(Frozen):
    """What the coach reads while editing the content."""

    format: Literal[1]
    schemas_written: Line
    proof: ProofMessages
    changed: ChangedMessages
    new: NewMessages
