"""The therapist's pages in the terminal: one app, a page on top of another, each left by escape."""

import asyncio
import signal
from typing import ClassVar, Protocol, runtime_checkable

from textual.app import App
from textual.binding import Binding, BindingType
from textual.screen import Screen

from coach.model.theme_name import ThemeName
from coach.screens.terminal import leave_if_the_terminal_is_gone
from coach.screens.theme import THEMES


@runtime_checkable
class AsksFirst(Protocol):
    """A page that does not throw away what was typed."""

    def action_leave(self) -> None:
        """Ask, or go back where nothing was typed."""


class TherapistApp(App[None]):
    """Begins with one page. `failed` is the fault of the program that broke it, if one did."""

    CSS_PATH = ["../client/session.tcss", "therapist.tcss"]
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c", "leave", show=False, priority=True),
        Binding("ctrl+q", "leave", show=False, priority=True),
    ]

    def __init__(self, first: Screen[None], theme: ThemeName = "dusk") -> None:
        super().__init__()
        self._first = first
        self._first_theme = theme
        self.failed: BaseException | None = None

    def on_mount(self) -> None:
        """The first page; leaving it ends the app."""
        for theme in THEMES.values():
            self.register_theme(theme)
        self.theme = self._first_theme
        code = 128 + signal.SIGTERM
        asyncio.get_running_loop().add_signal_handler(signal.SIGTERM, lambda: self.exit(return_code=code))
        signal.signal(signal.SIGHUP, signal.SIG_DFL)
        self.push_screen(self._first, lambda _: self.exit(return_code=0))

    def action_leave(self) -> None:
        """Ctrl-C: a page where something was typed asks first; elsewhere nothing is under way that could be lost."""
        if isinstance(self.screen, AsksFirst):
            self.screen.action_leave()
        else:
            self.exit(return_code=0)

    def go(self) -> int:
        """Run to the end; the exit code."""
        try:
            self.run()
        finally:
            leave_if_the_terminal_is_gone()
        return self.return_code or 0

    def _fatal_error(self) -> None:
        """A fault of the program: close, and let the command say so without anything of the client's."""
        self.failed = self._exception
        self._close_messages_no_wait()
