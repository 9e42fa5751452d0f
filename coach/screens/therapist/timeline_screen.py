"""The session as a list of pages with their times and first lines; enter goes to a page."""

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Container, Vertical
from textual.events import Key, Resize
from textual.screen import Screen

from coach.model.message_format import fill
from coach.screens.client.client_frame import ClientFrame
from coach.screens.client.page_types import RestPage, SetPage
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import SetupCache, SetupContext
from coach.screens.widgets.line_list import CHOOSING_KEYS, LineList
from coach.screens.widgets.page_head import PageHead, key_bar
from coach.screens.widgets.page_keys import takes
from coach.screens.widgets.text import static_text
from coach.screens.widgets.wide import is_wide
from coach.session.timeline import TimelineEntry

_LEAST_LEFT_OUT = 3  # words
_AGAIN = "· "  # stands for the title of the page above


class TimelineScreen(Screen[int | None]):
    """Dismissed with the index of the chosen page, or with None. In a wide window the page stands beside the list."""

    def __init__(self, entries: Sequence[TimelineEntry], here: int, setups: SetupCache) -> None:
        super().__init__()
        self._entries, self._here, self._setups = entries, here, setups
        self._plan = entries[0].state.plan
        self._lines = timeline_lines(entries, setups)

    def compose(self) -> ComposeResult:
        """The head, the list, the client's page, the keys."""
        messages = self._plan.content.messages
        keys = messages.therapist.client_screen.keys
        title = fill(messages.therapist.preview_screen.timeline_title, {"client": self._plan.profile.name})
        yield PageHead(title, messages.therapist.pages.purpose["timeline"])
        with Container(id="split", classes="timeline"):
            with Vertical(id="listing"):
                yield LineList(id="list")
            yield ClientFrame()
        shown = (("up down", keys["choose"]), ("enter", keys["open"]), ("esc", keys["back"]))
        yield static_text(key_bar(shown, self.app.size.width), id="keys")

    def on_mount(self) -> None:
        """Choose the page that was in view."""
        now = self._plan.content.messages.therapist.pages.now
        self.query_one(PageHead).ask_for("enter", now["go_to"])
        self.call_after_refresh(self._show_all)

    async def on_resize(self, _: Resize) -> None:
        """Lay the page out for the new width."""
        self.query_one("#split").set_class(is_wide(self), "wide")
        await self._show_page()

    async def on_key(self, event: Key) -> None:
        """Choose, go to a page, or go back."""
        if not takes(self, event):
            return
        if event.key in CHOOSING_KEYS:
            self.query_one(LineList).move(event.key)
            await self._show_page()
        elif event.key == "enter":
            self.dismiss(self.query_one(LineList).at)
        elif event.key in ("escape", "q", "t"):
            self.dismiss(None)

    async def _show_all(self) -> None:
        self.query_one(LineList).show(self._lines, self._here, self._plan.content.messages.therapist.client_screen)
        await self._show_page()

    async def _show_page(self) -> None:
        if not is_wide(self):
            return
        entry = self._entries[self.query_one(LineList).at]
        await self.query_one(ClientFrame).show_state(entry.state, entry.at_s, self._setups)


def timeline_lines(entries: Sequence[TimelineEntry], setups: SetupCache, repeats: bool = True) -> list[str]:
    """A line for each page: its time, its title and its first sentence.

    Without `repeats` a line leaves out what the one above it began with, so that more of the rest is seen.
    """
    lines, before, said = list[str](), "", ""
    for entry in entries:
        title, rest = _summary(entry, setups.of(entry.state))
        again = not repeats and title == before
        told = f"{_AGAIN}{_beyond(said, rest)}" if again else f"{title}: {rest}"
        lines.append(f"{clock_time(entry.at_s):>6}  {told}")
        before, said = title, rest
    return lines


def _beyond(said: str, text: str) -> str:
    """A text without the words that it begins with as another does, where these are several."""
    words = text.split(" ")
    pairs = enumerate(zip(said.split(" "), words[:-1], strict=False))
    alike = next((at for at, (one, other) in pairs if one != other), len(words) - 1)
    return f"… {' '.join(words[alike:])}" if alike >= _LEAST_LEFT_OUT else text


def clock_time(seconds: float) -> str:
    """A time in seconds as minutes and seconds, such as 4:05."""
    minutes, left = divmod(round(seconds), 60)
    return f"{minutes}:{left:02}"


def _summary(entry: TimelineEntry, context: SetupContext) -> tuple[str, str]:
    """The title of a page, and its first sentence."""
    page = page_at(entry.state, context, entry.at_s)
    if isinstance(page, SetPage):
        return page.title.partition(" · ")[0], f"{page.word} {page.count}, {page.repetition_words}"
    if isinstance(page, RestPage):
        return page.title, f"{page.left} s"
    return page.title, page.lead
