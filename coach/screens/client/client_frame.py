"""The client's screen in a frame of its own size, within the coach's view."""

import asyncio
from datetime import datetime

from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.content import Content as BorderText
from textual.widgets import Static

from coach.screens.client.key_help import footer, more_lines
from coach.screens.client.page_types import MoreLines, ScreenPage, title_of
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import SetupCache
from coach.screens.client.views.bodies import make_body
from coach.screens.client.views.page_view import PageView
from coach.screens.widgets.text import key_lines, static_text
from coach.session.plan import Plan
from coach.session.rehearsal import first_state
from coach.session.state import State

BORDER = 2  # columns and rows taken by the frame itself
SMALLEST = (60, 20)
"""The least window of a session, in columns and rows."""


class ClientFrame(Vertical):
    """Title, body and keys as in the session; the border says which screen it is."""

    DEFAULT_CSS = """
ClientFrame { border: round $secondary; border-title-color: $primary; border-subtitle-color: $secondary; }
"""

    def __init__(self) -> None:
        super().__init__(id="frame")
        self._columns, self._rows = 80, 24
        self._drawing = asyncio.Lock()

    def compose(self) -> ComposeResult:
        """The same widgets as in the session."""
        yield static_text("", id="title")
        yield VerticalScroll(id="body", can_focus=False)
        yield static_text("", id="keys")

    async def show(self, page: ScreenPage, keys: list[str], more: MoreLines, size: tuple[int, int]) -> None:
        """Show a page at a size in columns and rows."""
        async with self._drawing:  # saves, keys and resizes come from several tasks, and there is only one body
            await self._replace_body(page, keys, more, size)

    async def show_state(self, state: State, at_s: float, setups: SetupCache) -> None:
        """Show the page of a moment of a session, in the least window there is."""
        more = more_lines(state.plan.content.messages.client.keys)
        await self.show(page_at(state, setups.of(state), at_s), footer(state), more, SMALLEST)

    async def show_first_page(self, plan: Plan, at: datetime) -> None:
        """Show the first page of a session that has not begun."""
        state = first_state(plan, at)
        await self.show_state(state, state.seen_s, SetupCache())

    async def _replace_body(self, page: ScreenPage, keys: list[str], more: MoreLines, size: tuple[int, int]) -> None:
        self._columns, self._rows = size
        self.styles.width, self.styles.height = self._columns + BORDER, self._rows + BORDER
        self.query_one("#title", Static).update(title_of(page))
        self.query_one("#keys", Static).update(key_lines(keys, self._columns))
        await self.query("#body").remove()
        if self.is_attached:  # it is not once the app is to end
            await self.mount(make_body(page, "", more, self._columns, self._rows), after="#title")

    def set_border_text(self, above: str, below: str) -> None:
        """Set the text in the upper and the lower border."""
        self.border_title, self.border_subtitle = BorderText(above), BorderText(below)

    def scroll_by_key(self, key: str) -> None:
        """Scroll the client's page; nothing while one page is exchanged for another."""
        for body in self.query("#body").results(PageView):
            body.scroll_by_key(key)
