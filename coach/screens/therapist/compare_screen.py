"""What a word changes, before and after side by side; a key signs it, another goes back."""

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.events import Key, Resize
from textual.screen import Screen
from textual.widgets import Static

from coach.model.messages.steering import SteeringWords
from coach.overview.comparison import Part
from coach.overview.comparison_text import Headings, compare_lines
from coach.overview.instruction_lines import said_in_words
from coach.screens.widgets.scrolling import scrolled
from coach.screens.widgets.text import key_lines, plain
from coach.store.lock import InUse
from coach.store.therapist.steering import Proposed, Seen, sign
from coach.toml.diagnostic import FileFault, Refusal

_WIDEST, _EDGES = 120, 5


class CompareScreen(Screen[str | None]):
    """Dismissed with what was signed in words, or with None."""

    CSS_PATH = "steering.tcss"

    def __init__(self, seen: Seen, proposed: Proposed, parts: tuple[Part, ...], words: SteeringWords) -> None:
        super().__init__()
        self._seen, self._proposed, self._parts, self._words = seen, proposed, parts, words

    def compose(self) -> ComposeResult:
        """The word, the comparison, the keys."""
        word = self._proposed.word
        yield plain(f"{said_in_words(word, self._words)} ({word.initials}: {word.reason})", id="word")
        yield plain("", id="refused")
        yield VerticalScroll(plain("", id="compared"), id="steering", can_focus=False)
        yield plain("", id="keys")

    def on_resize(self, _: Resize) -> None:
        """Columns as wide as there is room for."""
        self.call_after_refresh(self._show)

    def on_key(self, event: Key) -> None:
        """Sign, scroll, or back."""
        event.stop()
        if event.key in ("escape", "n"):
            self.dismiss(None)
        elif event.key == "y":
            self._sign()
        else:
            scrolled(self.query_one("#steering", VerticalScroll), event.key)

    def _sign(self) -> None:
        try:
            sign(self._seen, self._proposed)
        except (Refusal, InUse, FileFault, OSError) as refused:
            self.query_one("#refused", Static).update(str(refused))
            return
        self.dismiss(f"{self._words.saved_note} {said_in_words(self._proposed.word, self._words)}")

    def _show(self) -> None:
        words, width = self._words, self.size.width
        lines = compare_lines(
            self._parts, Headings(words.before, words.after, words.alike), min(width, _WIDEST) - _EDGES
        )
        self.query_one("#compared", Static).update("\n".join(lines or [words.nothing]))
        keys = [f"y {words.sign.lower()}", f"up down {words.keys['scroll']}", f"esc {words.keys['back']}"]
        self.query_one("#keys", Static).update(key_lines(keys, width))
