"""The client's screen in a frame, at a size of its own."""

import asyncio

from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.content import Content as Shown
from textual.widgets import Static

from coach.screens.client.views import PageView, body_of
from coach.screens.coach.proof import AnyPage
from coach.screens.widgets.text import key_lines, plain

BORDER = 2  # columns, and rows, that the frame itself takes


class ClientFrame(Vertical):
    """Title, body and keys, as the session has them; around them what the coach is looking at."""

    def __init__(self) -> None:
        super().__init__(id="frame")
        self._columns, self._rows = 80, 24
        self._drawing = asyncio.Lock()

    def compose(self) -> ComposeResult:
        """As the session does."""
        yield plain("", id="title")
        yield VerticalScroll(id="body", can_focus=False)
        yield plain("", id="keys")

    async def show(self, page: AnyPage, keys: list[str], more: str, size: tuple[int, int]) -> None:
        """Another page, or the same at another size."""
        async with self._drawing:  # saves, keys and windows come from several tasks, and one body stands in it
            await self._exchange(page, keys, more, size)

    async def _exchange(self, page: AnyPage, keys: list[str], more: str, size: tuple[int, int]) -> None:
        self._columns, self._rows = size
        self.styles.width, self.styles.height = self._columns + BORDER, self._rows + BORDER
        self.query_one("#title", Static).update(page.title)
        self.query_one("#keys", Static).update(key_lines(keys, self._columns))
        await self.query("#body").remove()
        await self.mount(body_of(page, "", more, self._columns, self._rows), after="#title")

    def say(self, above: str, below: str) -> None:
        """What stands in the frame's own lines."""
        self.border_title, self.border_subtitle = Shown(above), Shown(below)

    def scroll_by_key(self, key: str) -> None:
        """One of the client's scroll keys."""
        body = self.query_one("#body")
        if isinstance(body, PageView):
            body.scrolled(key)
