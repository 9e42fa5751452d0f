"""The therapist's app: screens on top of each other, each left by escape."""

from typing import ClassVar, Protocol, runtime_checkable

from textual.binding import Binding, BindingType
from textual.events import Event
from textual.screen import Screen

from coach.model.option_names import SignChoice, ThemeName
from coach.screens.base_app import BaseApp


@runtime_checkable
class ConfirmsLeaving(Protocol):
    """A screen that asks before it discards what was typed."""

    async def action_leave(self) -> None:
        """Ask, or go back if nothing was typed."""


class TherapistApp(BaseApp):
    """Begins with one screen; leaving that screen ends the app."""

    CSS_PATH = ["../client/session.tcss", "../widgets/page_head.tcss", "therapist.tcss"]
    VERTICAL_BREAKPOINTS = [(0, "-short"), (30, "-high")]
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+c", "leave", show=False, priority=True),
        Binding("ctrl+q", "leave", show=False, priority=True),
    ]

    def __init__(self, first: Screen[None], theme: ThemeName = "dusk", signs: SignChoice = "auto") -> None:
        super().__init__(theme, signs)
        self._first = first

    def on_mount(self) -> None:
        """Show the first screen."""
        self.exit_on_signal()
        self.push_screen(self._first, lambda _: self.exit(return_code=0))

    async def on_event(self, event: Event) -> None:
        """As in every app, with Caps Lock or without."""
        self.ignore_caps(event)
        await super().on_event(event)

    async def action_leave(self) -> None:
        """Ctrl-C: a screen with input asks first; elsewhere there is nothing to lose."""
        if isinstance(self.screen, ConfirmsLeaving):
            await self.screen.action_leave()
        else:
            self.exit(return_code=0)
