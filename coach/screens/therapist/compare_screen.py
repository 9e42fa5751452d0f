"""What an instruction changes, before and after side by side, to be signed or not."""

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.events import Key, Resize
from textual.screen import Screen
from textual.widgets import Static

from coach.model.messages.therapist import SteeringMessages
from coach.overview.comparison import ComparisonPart
from coach.overview.comparison_text import ComparisonHeadings, comparison_lines
from coach.overview.instruction_lines import instruction_text
from coach.screens.widgets.scrolling import scroll_by_key
from coach.screens.widgets.text import key_lines, static_text
from coach.store.lock import InUse
from coach.store.therapist.steering import ClientSnapshot, ProposedInstruction, sign_instruction
from coach.toml.diagnostic import FileFault, Refusal

_WIDEST, _EDGES = 120, 5


class CompareScreen(Screen[str | None]):
    """Dismissed with a sentence on what was signed, or with None."""

    CSS_PATH = "steering.tcss"

    def __init__(
        self,
        seen: ClientSnapshot,
        proposed: ProposedInstruction,
        parts: tuple[ComparisonPart, ...],
        messages: SteeringMessages,
    ) -> None:
        super().__init__()
        self._seen, self._proposed, self._parts, self._messages = seen, proposed, parts, messages

    def compose(self) -> ComposeResult:
        """The instruction, the comparison, the keys."""
        instruction = self._proposed.instruction
        yield static_text(
            f"{instruction_text(instruction, self._messages)} ({instruction.initials}: {instruction.reason})",
            id="word",
        )
        yield static_text("", id="refused")
        yield VerticalScroll(static_text("", id="compared"), id="steering", can_focus=False)
        yield static_text("", id="keys")

    def on_resize(self, _: Resize) -> None:
        """Lay out the columns for the new width."""
        self.call_after_refresh(self._show)

    def on_key(self, event: Key) -> None:
        """Sign, scroll, or go back."""
        event.stop()
        if event.key in ("escape", "n"):
            self.dismiss(None)
        elif event.key == "y":
            self._sign()
        else:
            scroll_by_key(self.query_one("#steering", VerticalScroll), event.key)

    def _sign(self) -> None:
        try:
            sign_instruction(self._seen, self._proposed)
        except (Refusal, InUse, FileFault, OSError) as error:
            self.query_one("#refused", Static).update(str(error))
            return
        self.dismiss(f"{self._messages.saved_note} {instruction_text(self._proposed.instruction, self._messages)}")

    def _show(self) -> None:
        messages, width = self._messages, self.size.width
        lines = comparison_lines(
            self._parts,
            ComparisonHeadings(messages.before, messages.after, messages.alike),
            min(width, _WIDEST) - _EDGES,
        )
        self.query_one("#compared", Static).update("\n".join(lines or [messages.nothing]))
        keys = [f"y {messages.sign.lower()}", f"up down {messages.keys['scroll']}", f"esc {messages.keys['back']}"]
        self.query_one("#keys", Static).update(key_lines(keys, width))
