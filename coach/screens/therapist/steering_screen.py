"""Steering on screen: what the therapist can say, and the words so far; a key opens a page to fill in."""

import tomllib
from pathlib import Path

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.events import Key
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Static

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.steering import SteeringWords
from coach.model.record import Record
from coach.overview.instruction_lines import word_lines
from coach.progression.apply_instructions import may_take_back
from coach.screens.therapist.instruction_forms import PAGES, Now
from coach.screens.therapist.instruction_screen import Compared, WordScreen
from coach.screens.widgets.scrolling import scrolled
from coach.screens.widgets.text import key_lines, plain
from coach.store.client_store import ClientStore
from coach.store.clock import Clock
from coach.store.therapist.steering import Seen, look
from coach.toml.diagnostic import FileFault


class SteeringScreen(Screen[None]):
    """One client's steering. `compared` says what a word would change. Dismissed by escape."""

    CSS_PATH = "steering.tcss"

    def __init__(self, client: Path, content: Content, clock: Clock, compared: Compared) -> None:
        super().__init__()
        self._client, self._content, self._clock, self._compared = client, content, clock, compared
        self._words = content.words.of(SteeringWords)
        self._seen: Seen | None = None
        self._note = ""

    def compose(self) -> ComposeResult:
        """A line for each thing to say, then what was said."""
        yield plain("", id="title")
        yield VerticalScroll(id="steering", can_focus=False)
        yield plain("", id="keys")

    async def on_mount(self) -> None:
        """What is in the files now."""
        await self._show()

    async def on_key(self, event: Key) -> None:
        """A page to fill in, or back."""
        event.stop()
        chosen = next((one for one in PAGES if one.key == event.key), None)
        if event.key in ("escape", "q"):
            self.dismiss()
        elif not scrolled(self.query_one("#steering", VerticalScroll), event.key) and chosen and self._seen:
            word = WordScreen(chosen, self._seen, self._now(self._seen), self._clock, self._compared)
            self.app.push_screen(word, self._after)

    async def _after(self, signed: str | None) -> None:
        self._note = signed or ""
        await self._show()

    async def _show(self) -> None:
        page = self.query_one("#steering", VerticalScroll)
        await page.remove_children()
        try:
            self._seen = look(self._client)
        except FileFault as fault:
            self._seen = None
            await page.mount(plain(str(fault), "line"))
            return
        title = fill(self._words.title, {"profile": self._seen.folder.profile.name})
        self.query_one("#title", Static).update(title)
        self.query_one("#keys", Static).update(self._key_line())
        await page.mount(*self._lines(self._seen))
        page.scroll_home(animate=False)

    def _lines(self, seen: Seen) -> list[Widget]:
        words = self._words
        lines: list[Widget] = [plain(self._note, "note")] if self._note else []
        lines += [plain(words.choose, "line")]
        lines += [plain(f"  {page.key}  {page.called(words).name}", "listed") for page in PAGES]
        lines += [plain(words.history, "list-title")]
        newest_first = sorted(seen.folder.prescription.sign_offs, key=lambda one: one.at, reverse=True)
        for word in newest_first:
            first, *below = word_lines(word, seen.folder.prescription, self._records(seen), words)
            lines += [plain(first, "said-first"), *(plain(text, "said-below") for text in below)]
        return lines if newest_first else [*lines, plain(words.no_history)]

    @staticmethod
    def _records(seen: Seen) -> list[Record]:
        return list(seen.folder.records)

    def _now(self, seen: Seen) -> Now:
        prescription, records = seen.folder.prescription, self._records(seen)
        back = [
            word.at.isoformat() for word in prescription.kept_sign_offs if may_take_back(word, prescription, records)
        ]
        position_deg = ClientStore(seen.folder, self._content).progress.position_deg
        return Now(
            tomllib.loads(seen.prescription_text), prescription, position_deg, self._content, tuple(reversed(back))
        )

    def _key_line(self) -> str:
        keys = self._words.keys
        shown = [keys["open"], f"up down {keys['scroll']}", f"esc {keys['leave']}"]
        return key_lines(shown, self.app.size.width)
