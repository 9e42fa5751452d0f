"""en/author.toml: what the coach reads who edits the content."""

from typing import Literal

from coach.model.base import Frozen, Line
from coach.model.messages.base_messages import PageWords

ProofKey = Literal["following", "before", "changed", "position", "exercise", "language", "size", "theme", "leave"]


class ProofWords(Frozen):
    """Around the client's screens while content is edited."""

    place: Line
    right: Line
    changed: Line
    broken: Line
    never: Line
    not_made: Line
    keys: dict[ProofKey, Line]


class ChangedWords(Frozen):
    """What an edit changes, side by side, and for whom."""

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


class AuthorWords(PageWords):
    """What the coach reads who edits the content."""

    file = "author.toml"

    schemas_written: Line
    proof: ProofWords
    changed: ChangedWords
