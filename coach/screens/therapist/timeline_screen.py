"""The session as a list of pages with their times and first lines; enter goes to a page."""

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.events import Key
from textual.screen import Screen

from coach.model.message_format import fill
from coach.screens.client.page_types import RestPage, SetPage
from coach.screens.client.pages import SetupCache, SetupContext, page_at
from coach.screens.therapist.line_list import CHOOSING_KEYS, LineList
from coach.screens.widgets.text import key_lines, static_text
from coach.session.plan import Plan
from coach.session.timeline import TimelineEntry


class TimelineScreen(Screen[int | None]):
    """Dismissed with the index of the chosen page, or with None."""

    def __init__(self, plan: Plan, entries: Sequence[TimelineEntry], here: int, setups: SetupCache) -> None:
        super().__init__()
        self._plan, self._entries, self._here = plan, entries, here
        self._lines = [f"{clock_time(entry.at_s):>6}  {_summary(entry, setups.of(entry.state))}" for entry in entries]

    def compose(self) -> ComposeResult:
        """The title, the list, the keys."""
        messages = self._plan.content.messages
        keys = messages.therapist.client_screen.keys
        title = fill(messages.therapist.preview_screen.timeline_title, {"client": self._plan.profile.name})
        yield static_text(title, id="title")
        yield LineList(id="list")
        shown = (f"up down {keys['scroll']}", f"enter {keys['open']}", f"esc {keys['back']}")
        yield static_text(key_lines(shown, self.app.size.width), id="keys")

    def on_mount(self) -> None:
        """Choose the page that was in view."""
        self.call_after_refresh(self.query_one(LineList).show, self._lines, self._here)

    def on_key(self, event: Key) -> None:
        """Choose, go to a page, or go back."""
        event.stop()
        if event.key in CHOOSING_KEYS:
            self.query_one(LineList).move(event.key)
        elif event.key == "enter":
            self.dismiss(self.query_one(LineList).at)
        elif event.key in ("escape", "q", "t"):
            self.dismiss(None)


def clock_time(seconds: float) -> str:
    """A time in seconds as minutes and seconds, such as 4:05."""
    minutes, left = divmod(round(seconds), 60)
    return f"{minutes}:{left:02}"


def _summary(entry: TimelineEntry, context: SetupContext) -> str:
    """One line on a page: its title and its first sentence."""
    page = page_at(entry.state, context, entry.at_s)
    if isinstance(page, SetPage):
        return f"{page.title.partition(' · ')[0]}: {page.word} {page.count}, {page.repetition_words}"
    if isinstance(page, RestPage):
        return f"{page.title}: {page.left} s"
    return f"{page.title}: {page.lead}"
