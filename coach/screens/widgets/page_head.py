"""The head of a page: what it is, what it is for, and the one key to press now; and the line of all its keys."""

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content as StyledText
from textual.widgets import Static

from coach.screens.widgets.text import fewest_key_lines, static_text

Key = tuple[str, str]
"""A key, or several that belong together, and what it does."""

_CAP, _KEY = "reverse bold", "bold"


class PageHead(Vertical):
    """The title of a page, a sentence on what it is for, and what to do now with its key drawn as a key."""

    def __init__(self, title: str = "", purpose: str = "") -> None:
        super().__init__()
        self._at_first = title, purpose

    def compose(self) -> ComposeResult:
        """The three lines."""
        title, purpose = self._at_first
        yield static_text(title, id="title")
        yield static_text(purpose, id="purpose")
        yield static_text("", id="first-key")

    def name_page(self, title: str, purpose: str) -> None:
        """Show another title and what the page is for."""
        self.query_one("#title", Static).update(title)
        self.query_one("#purpose", Static).update(purpose)

    def ask_for(self, key: str, does: str, *others: Key) -> None:
        """Show what to do now; without a key only what there is to say. Other keys follow beside it."""
        shown = [_to_do(*one) for one in ((key, does), *others)]
        self.query_one("#first-key", Static).update(StyledText("    ").join(shown))


def _to_do(key: str, does: str) -> StyledText:
    cap = [key_cap(key), StyledText("  ")] if key else []
    return StyledText.assemble(*cap, StyledText.styled(does, "bold"))


def key_cap(key: str) -> StyledText:
    """A key drawn as a key: reversed, so that it needs no colour."""
    return StyledText.styled(f" {key} ", _CAP)


def key_bar(keys: Sequence[Key], columns: int, has_first: bool = False) -> StyledText:
    """All keys in as few lines as possible, each before what it does; the first drawn as a key if no head has it."""
    parts = [f"{key} {does}".strip() for key, does in keys]
    bar = StyledText(fewest_key_lines(parts, columns))
    at = 0
    for number, ((key, does), part) in enumerate(zip(keys, parts, strict=True)):
        start = bar.plain.index(part, at)
        at = start + len(part)
        if does:  # what stands alone is no key
            bar = bar.stylize(_CAP if has_first and number == 0 else _KEY, start, start + len(key))
    return bar
