"""The keys of the coach's view: one table of key, its word, and the action."""

from typing import NamedTuple

from coach.model.messages.authoring import ProofKey


class Key(NamedTuple):
    """One key. `word` names it in the words of the view; `action` is a method of the view."""

    key: str
    word: ProofKey
    action: str


KEYS: tuple[Key, ...] = (
    Key("right", "following", "following"),
    Key("left", "before", "before"),
    Key("c", "changed", "changed"),
    Key("p", "position", "position"),
    Key("e", "exercise", "exercise"),
    Key("l", "language", "language"),
    Key("s", "size", "size"),
    Key("t", "theme", "theme"),
    Key("q", "leave", "leave"),
)
