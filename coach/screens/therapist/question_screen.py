"""A yes or no question on top of another screen."""

from textual.app import ComposeResult
from textual.content import Content as StyledText
from textual.events import Key
from textual.screen import ModalScreen

from coach.screens.widgets.page_head import key_cap
from coach.screens.widgets.page_keys import takes
from coach.screens.widgets.text import static_text

_WIDEST, _BESIDE = 70, 4


class QuestionScreen(ModalScreen[bool]):
    """Dismissed with True on y, with False on n or escape."""

    CSS_PATH = "steering.tcss"

    def __init__(self, question: str, yes: str, no: str) -> None:
        super().__init__()
        self._question, self._yes, self._no = question, yes, no

    def compose(self) -> ComposeResult:
        """The question and its two answers."""
        answers = (StyledText.assemble(key_cap(key), "  ", word) for key, word in (("y", self._yes), ("n", self._no)))
        yield static_text(StyledText("\n\n").join([StyledText(self._question), *answers]), id="question")

    def on_resize(self) -> None:
        """Keep the question within the window."""
        self.query_one("#question").styles.max_width = min(_WIDEST, self.size.width - _BESIDE)

    def on_key(self, event: Key) -> None:
        """Handle one key."""
        if not takes(self, event):
            return
        if event.key in ("y", "n", "escape"):
            self.dismiss(event.key == "y")
