"""What the words of every page share: the name of their file, and its format."""

from typing import ClassVar, Literal

from coach.model.base import Frozen


class PageWords(Frozen):
    """A file of words that is read only when its page is asked for, so that a session never waits for it."""

    file: ClassVar[str]
    format: Literal[1]
