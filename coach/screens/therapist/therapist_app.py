"""The therapist's pages in the terminal: one app, a page on top of another, each left by escape."""

from typing import ClassVar, Protocol, runtime_checkable

from textual.binding import Binding, BindingType
from textual.screen import Screen

from coach.model.theme_name import ThemeName
from coach.screens.pages_app import PagesApp


@runtime_checkable
class AsksFirst(Protocol):
    """A page that does not throw away what was typed."""

    def action_leave(self) -> None:
        """Ask, or go back where nothing was typed."""


class TherapistApp(PagesApp):
    """Begins with one page; leaving it ends the app."""

    CSS_PATH = ["../client/session.tcss", "therapist.tcss"]
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c", "leave", show=False, priority=True),
        Binding("ctrl+q", "leave", show=False, priority=True),
    ]

    def __init__(self, first: Screen[None], theme: ThemeName = "dusk") -> None:
        super().__init__(theme)
        self._first = first

    def on_mount(self) -> None:
        """The first page."""
        self.leave_when_told()
        self.push_screen(self._first, lambda _: self.exit(return_code=0))

    def action_leave(self) -> None:
        """Ctrl-C: a page where something was typed asks first; elsewhere nothing is under way that could be lost."""
        if isinstance(self.screen, AsksFirst):
            self.screen.action_leave()
        else:
            self.exit(return_code=0)
