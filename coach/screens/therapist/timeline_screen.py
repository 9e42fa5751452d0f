"""The session as a timeline: when each page comes, and what it says first; enter goes there."""

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.events import Key
from textual.screen import Screen

from coach.model.message_format import fill
from coach.model.messages.client_page import ClientPageWords
from coach.model.messages.preview_page import PreviewPageWords
from coach.screens.client.pages import Page, RestPage, SetPage, Setups, Today, shown
from coach.screens.therapist.line_list import CHOOSING_KEYS, LineList
from coach.screens.widgets.text import key_lines, plain
from coach.session.plan import Plan
from coach.session.timeline import Stop


class TimelineScreen(Screen[int | None]):
    """Ends with the number of the chosen stop, or with None."""

    def __init__(self, plan: Plan, stops: Sequence[Stop], here: int, setups: Setups) -> None:
        super().__init__()
        self._plan, self._stops, self._here = plan, stops, here
        self._lines = [f"{clock_time(stop.at_s):>6}  {_said(stop, setups.of(stop.state))}" for stop in stops]

    def compose(self) -> ComposeResult:
        """The title, the stops, the keys."""
        words = self._plan.content.words
        keys = words.of(ClientPageWords).keys
        title = fill(words.of(PreviewPageWords).timeline_title, {"client": self._plan.profile.name})
        yield plain(title, id="title")
        yield LineList(id="list")
        shown = (f"up down {keys['scroll']}", f"enter {keys['open']}", f"esc {keys['back']}")
        yield plain(key_lines(shown, self.app.size.width), id="keys")

    def on_mount(self) -> None:
        """The stop that was seen is chosen."""
        self.call_after_refresh(self.query_one(LineList).show, self._lines, self._here)

    def on_key(self, event: Key) -> None:
        """Choose, go there, or back."""
        event.stop()
        if event.key in CHOOSING_KEYS:
            self.query_one(LineList).move(event.key)
        elif event.key == "enter":
            self.dismiss(self.query_one(LineList).at)
        elif event.key in ("escape", "q", "t"):
            self.dismiss(None)


def clock_time(seconds: float) -> str:
    """Minutes and seconds."""
    minutes, left = divmod(round(seconds), 60)
    return f"{minutes}:{left:02}"


def _said(stop: Stop, today: Today) -> str:
    """The page in one line: its title, and the first thing that it says."""
    page: Page | SetPage | RestPage = shown(stop.state, today, stop.at_s)
    if isinstance(page, SetPage):
        return f"{page.title.partition(' · ')[0]}: {page.word} {page.count}, {page.repetition_words}"
    return f"{page.title}: {page.lead}" if isinstance(page, Page) else f"{page.title}: {page.left} s"
