"""A part of a page under its name."""

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content as StyledText
from textual.widget import Widget
from textual.widgets import Static

from coach.screens.widgets.text import static_text


class Panel(Vertical):
    """What is in it, with its name in the border above; in a narrow window there is no border beside or below."""

    def __init__(self, name: str, *shown: Widget, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self.border_title, self._shown = StyledText(name), shown

    def compose(self) -> ComposeResult:
        """The widgets that were given."""
        yield from self._shown


class TextPanel(Panel):
    """A panel of text, which is not there as long as it has none."""

    def __init__(self, id: str | None = None) -> None:
        super().__init__("", static_text(""), id=id)
        self.display = False

    def show(self, name: str, text: StyledText | str) -> None:
        """Show another text under another name."""
        self.border_title = StyledText(name)
        self.display = bool(text if isinstance(text, str) else text.plain)
        self.query_one(Static).update(text)
