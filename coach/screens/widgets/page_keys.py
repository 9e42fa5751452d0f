"""Which keys a page takes."""

from typing import TypeVar

from textual.events import Key
from textual.screen import Screen

Result = TypeVar("Result")


def takes(page: Screen[Result], event: Key) -> bool:
    """Whether a key is for this page, which is then the only one to hear of it.

    A key that was pressed twice arrives again when the first has opened another page, or left or signed this one.
    """
    event.stop()
    return page.app.screen is page
