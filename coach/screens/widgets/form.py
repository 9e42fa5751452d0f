"""A form: a line for each field, checked as it is typed. It knows no rule: whoever shows it says what is wrong."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.events import DescendantFocus
from textual.message import Message
from textual.widgets import Input, Static

_FOCUSED, _WRONG = ">", "!"


@dataclass(frozen=True)
class Field:
    """One line to fill in. Without a key it is a heading. `how` is said while the field is in hand."""

    key: str
    label: str
    typed: str = ""
    how: str = ""


class Form(VerticalScroll):
    """Fields under each other; up, down, tab and enter go from one to the next, enter in the last one says Done.

    The field in hand has a mark before it, and so has each field that is wrong: neither needs colour.
    """

    can_focus = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "app.focus_previous", show=False),
        Binding("down", "app.focus_next", show=False),
        # At once: what is typed after it belongs to the next field, however busy the computer is.
        Binding("enter", "next", show=False, priority=True),
    ]

    class Typed(Message):
        """Something was typed, or another field is in hand."""

    class Done(Message):
        """Enter in the last field."""

    def __init__(self, fields: Sequence[Field], label_columns: int, id: str | None = None) -> None:
        super().__init__(id=id)
        self._fields = tuple(field for field in fields)
        self._label_columns = label_columns
        self._wrong: Collection[str] = ()
        self.in_hand = next((field for field in fields if field.key), Field("", ""))

    def compose(self) -> ComposeResult:
        """A row for each field."""
        for number, field in enumerate(self._fields):
            if not field.key:
                yield Static(field.label, markup=False, classes="form-heading")
                continue
            entry = Input(field.typed, compact=True, id=f"field-{number}", select_on_focus=False)
            entry.cursor_blink = False
            label = Static(field.label, markup=False, classes="form-label")
            label.styles.width = self._label_columns
            yield Horizontal(Static("", markup=False, classes="form-mark"), label, entry, classes="form-row")

    def on_mount(self) -> None:
        """The first field is in hand."""
        for entry in self.query(Input).results(Input):
            entry.cursor_position = len(entry.value)
        self.focus_field(self.in_hand.key)

    @property
    def values(self) -> dict[str, str]:
        """What stands in each field now."""
        return {field.key: entry.value for field, entry in self._entries()}

    def focus_field(self, key: str) -> None:
        """Take a field in hand."""
        for field, entry in self._entries():
            if field.key == key:
                entry.focus()

    def mark(self, wrong: Collection[str]) -> None:
        """Which fields are wrong."""
        self._wrong = wrong
        for field, entry in self._entries():
            here = _FOCUSED if field.key == self.in_hand.key else " "
            said = f"{here}{_WRONG if field.key in wrong else ' '}"
            row = entry.parent
            assert row is not None
            row.query_one(".form-mark", Static).update(said)

    def on_descendant_focus(self, event: DescendantFocus) -> None:
        """Another field is in hand."""
        for field, entry in self._entries():
            if entry is event.widget:
                self.in_hand = field
                self.mark(self._wrong)
                self.post_message(self.Typed())

    def on_input_changed(self, event: Input.Changed) -> None:
        """A letter more or less."""
        event.stop()
        self.post_message(self.Typed())

    def action_next(self) -> None:
        """On to the next field; in the last one, done."""
        *_, (last, _) = self._entries()
        if self._in_focus(last):
            self.post_message(self.Done())
        else:
            self.screen.focus_next()

    def _in_focus(self, wanted: Field) -> bool:
        return any(field is wanted and entry.has_focus for field, entry in self._entries())

    def _entries(self) -> Iterator[tuple[Field, Input]]:
        for number, field in enumerate(self._fields):
            if field.key:
                yield field, self.query_one(f"#field-{number}", Input)
