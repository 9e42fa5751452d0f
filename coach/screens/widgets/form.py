"""A form with a line for each field. It checks nothing itself: whoever shows it marks the fields that are wrong."""

from asyncio import Event
from collections.abc import Collection, Iterator, Sequence
from itertools import pairwise
from typing import ClassVar

from msgspec import Struct
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.events import DescendantFocus, Key
from textual.message import Message
from textual.widgets import Input, Static

_FOCUSED, _WRONG = ">", "!"
_MARK_COLUMNS, _NARROW, _GAP = 3, 9, 2  # as in steering.tcss


class Field(Struct, frozen=True):
    """One line to fill in, or without a key a heading. `how` is shown while the field has the focus.

    `beside` stands behind the field, such as the value that was measured before. A `short` one has room for a number.
    """

    key: str
    label: str
    typed: str = ""
    how: str = ""
    beside: str = ""
    short: bool = False


class FieldInput(Input):
    """A line to type in that handles its own keys in the order in which they came.

    A key with a binding would otherwise go up to the app and be done in whatever field has the focus by then.
    """

    async def _on_key(self, event: Key) -> None:
        bound = self._bindings.key_to_bindings.get(event.key, ())
        if bound:
            event.stop()
            event.prevent_default()
            await self.run_action(bound[0].action)
        else:
            await super()._on_key(event)


class InputForm(VerticalScroll):
    """Fields below each other; up, down, tab and enter move between them, enter in the last one submits.

    Page down and page up move to the first field below the next or the last heading.

    The field with the focus and each wrong field have a mark before them, so that neither needs colour.
    """

    can_focus = False
    BINDINGS: ClassVar[list[BindingType]] = [
        # With priority: keys typed after one of these belong to the other field, even on a slow computer.
        Binding("up,shift+tab", "app.focus_previous", show=False, priority=True),
        Binding("down,tab", "app.focus_next", show=False, priority=True),
        Binding("enter", "next", show=False, priority=True),
        Binding("pagedown", "part(1)", show=False, priority=True),
        Binding("pageup", "part(-1)", show=False, priority=True),
    ]

    class Typed(Message):
        """Something was typed, or another field has the focus."""

    def __init__(self, fields: Sequence[Field], label_columns: int, id: str | None = None) -> None:
        super().__init__(id=id)
        self._fields = tuple(field for field in fields)
        self._label_columns = label_columns
        self._wrong: Collection[str] = ()
        self._marks: dict[str, str] = {}
        self._rows: list[tuple[Field, Input, Static]] = []
        self.focused_field = next((field for field in fields if field.key), Field("", ""))

    def compose(self) -> ComposeResult:
        """A row for each field."""
        for number, field in enumerate(self._fields):
            if not field.key:
                yield Static(field.label, markup=False, classes="form-heading")
                continue
            entry = FieldInput(field.typed, compact=True, id=f"field-{number}", select_on_focus=False)
            entry.cursor_blink = False
            label = Static(field.label, markup=False, classes="form-label")
            label.styles.width = self._label_columns
            mark, beside = Static("", markup=False, classes="form-mark"), Static(field.beside, markup=False)
            beside.set_class(True, "form-beside")
            shown = (beside,) if field.beside else ()
            self._rows.append((field, entry, mark))
            entry.set_class(field.short or bool(shown), "narrow")
            yield Horizontal(mark, label, entry, *shown, classes="form-row")

    def on_resize(self) -> None:
        """Leave out what stands behind the fields where a narrow window would cut it."""
        longest = max((len(field.beside) for field in self._fields), default=0)
        room = self.size.width - _MARK_COLUMNS - self._label_columns - _NARROW - _GAP
        self.set_class(room < longest, "without-beside")

    def on_mount(self) -> None:
        """Focus the first field."""
        for entry in self.query(Input).results(Input):
            entry.cursor_position = len(entry.value)
        self.focus_field(self.focused_field.key)

    @property
    def values(self) -> dict[str, str]:
        """The text of each field, by its key."""
        return {field.key: entry.value for field, entry in self._entries()}

    def focus_field(self, key: str) -> None:
        """Move the focus to a field."""
        for field, entry in self._entries():
            if field.key == key:
                self.screen.set_focus(entry)  # at once: what is typed next belongs to it

    def mark(self, wrong: Collection[str]) -> None:
        """Mark the fields that are wrong, by their keys."""
        self._wrong = wrong
        for field, _, mark in self._rows:
            focus = _FOCUSED if field.key == self.focused_field.key else " "
            marks = f"{focus}{_WRONG if field.key in wrong else ' '}"
            if marks != self._marks.get(field.key):  # a page may have a hundred fields
                self._marks[field.key] = marks
                mark.update(marks, layout=False)  # of one size: the page need not be laid out again

    def on_descendant_focus(self, event: DescendantFocus) -> None:
        """Note which field has the focus."""
        for field, entry in self._entries():
            if entry is event.widget:
                self.focused_field = field
                self.mark(self._wrong)
                self.post_message(self.Typed())

    def on_input_changed(self, event: Input.Changed) -> None:
        """Report that something was typed."""
        event.stop()
        self.post_message(self.Typed())

    async def action_next(self) -> None:
        """Move to the next field; in the last one, submit, before any key that is pressed after it."""
        *_, (last, _) = self._entries()
        if self._has_focus(last):
            await self.run_action("screen.submit")
        else:
            self.screen.focus_next()

    async def keys_arrived(self) -> None:
        """Wait until every key that was pressed before has reached its field."""
        for _, entry in self._entries():
            arrived = Event()
            entry.call_later(arrived.set)
            await arrived.wait()

    def action_part(self, step: int) -> None:
        """Move to the first field of the next part, or of this one and then of the one before."""
        firsts = [one.key for before, one in pairwise(self._fields) if one.key and not before.key]
        keys = [field.key for field in self._fields if field.key]
        here = next((number for number, (_, entry) in enumerate(self._entries()) if entry is self.screen.focused), 0)
        after = [key for key in firsts if keys.index(key) > here] if step > 0 else []
        before = [key for key in firsts if keys.index(key) < here] if step < 0 else []
        for key in (*after[:1], *before[-1:]):
            self.focus_field(key)

    def _has_focus(self, wanted: Field) -> bool:
        focused = self.screen.focused  # has_focus of an entry changes only when it hears of it
        return any(field is wanted and entry is focused for field, entry in self._entries())

    def _entries(self) -> Iterator[tuple[Field, Input]]:
        return ((field, entry) for field, entry, _ in self._rows)
