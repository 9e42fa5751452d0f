"""The keys of the therapist's screens: a key and its word."""

from collections.abc import Sequence
from dataclasses import dataclass

from coach.screens.client.views import key_lines


@dataclass(frozen=True)
class KeyWord:
    """A key as a person calls it, and what it does in a word."""

    key: str
    word: str


def keys_line(keys: Sequence[KeyWord], columns: int) -> str:
    """The keys with their words, in as few lines as they need."""
    return key_lines([f"{one.key} {one.word}" for one in keys], columns)
