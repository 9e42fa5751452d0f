"""A form that is checked in the background while it is filled in, with the result below or beside it."""

from collections.abc import Mapping, Sequence
from functools import partial
from re import sub
from textwrap import wrap
from typing import ClassVar, Generic, TypeVar

from msgspec import Struct
from msgspec.structs import replace
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container
from textual.content import Content as StyledText
from textual.events import Resize
from textual.screen import Screen
from textual.widgets import Static

from coach.screens.therapist.question_screen import QuestionScreen
from coach.screens.widgets.form import Field, InputForm
from coach.screens.widgets.page_head import Key, PageHead, key_bar
from coach.screens.widgets.text import static_text
from coach.screens.widgets.wide import is_wide
from coach.toml.diagnostic import Diagnostic, render_without_position
from coach.toml.input_parsing import without_quotes

Made = TypeVar("Made")
Result = TypeVar("Result")

_MOST_LABEL_COLUMNS, _GAP = 40, 2
_MESSAGE_ROWS, _EDGES = 4, 4


class FormCheck(Struct, Generic[Made], frozen=True):
    """The result of a check: what was typed, its faults, and the object made from it if there are none.

    `by_field` has the first fault of each field.
    """

    typed: Mapping[str, str]
    faults: tuple[Diagnostic, ...] = ()
    made: Made | None = None
    by_field: Mapping[str, Diagnostic] = {}

    def at(self, key: str) -> Diagnostic | None:
        """The first fault of a field."""
        return self.by_field.get(key)


def fault_text(fault: Diagnostic, field: Field, *, with_expected: bool = True) -> str:
    """A fault as it is told beside its field: where it begins with the name of the value, that is the label.

    What was expected is left out where the hint on the field says it.
    """
    name, label = field.key.rpartition(".")[2], field.label
    expected = without_quotes(fault.expected) if with_expected else ""
    told = replace(fault, expected=expected)
    return sub(rf"^{name}\b", lambda _: label, render_without_position(told))


def fault_in_a_sentence(fault: Diagnostic, field: Field) -> str:
    """What is wrong with a field, to stand behind its label: without the name of the value before it."""
    name = field.key.rpartition(".")[2]
    return sub(rf"^{name}(?: =|:) ", "", fault.what)


class FormLabels(Struct, frozen=True):
    """The text around the fields: title, purpose, keys, the question before input is discarded, and notes.

    `first` is the key to press once the form is filled in. `how` is what else to know, in a line of its own.
    """

    title: str
    purpose: str
    first: Key
    keys: tuple[Key, ...]
    leave: tuple[str, str, str]
    how: str = ""


class FormScreen(Screen[Result | None], Generic[Made, Result]):
    """A screen with a form; dismissed with None if it is left without finishing.

    Subclasses say how the input is checked, what is shown below it, and what follows once it is valid.
    """

    CSS_PATH = "steering.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+s,f10", "submit", show=False, priority=True),
        Binding("escape", "leave", show=False, priority=True),
    ]

    def __init__(self, labels: FormLabels, fields: Sequence[Field]) -> None:
        super().__init__()
        self._labels, self._fields = labels, fields
        self._initial = {field.key: field.typed for field in fields if field.key}
        self._checked: FormCheck[Made] | None = None
        self._to_check: dict[str, str] = {}
        self._submitted = False

    def check(self, typed: Mapping[str, str]) -> FormCheck[Made]:
        """Check the input, by field key; called in a thread, so it may take a moment."""
        raise NotImplementedError

    def message(self, checked: FormCheck[Made] | None, field: Field, touched: bool) -> list[str]:
        """The text below the form while a field has the focus; `touched`: whether the field was edited."""
        raise NotImplementedError

    def go_on_with(self, made: Made) -> None:
        """Go on with the object made from valid input."""
        raise NotImplementedError

    def compose(self) -> ComposeResult:
        """The head and what else to know, the fields, the message below them, and the keys."""
        yield PageHead(self._labels.title, self._labels.purpose)
        yield static_text(self._labels.how, id="form-how")
        longest = max(len(field.label) for field in self._fields if field.key)
        with Container(id="form-split"):
            yield InputForm(self._fields, min(longest + _GAP, _MOST_LABEL_COLUMNS), id="form")
            yield static_text("", id="form-message")
        yield static_text("", id="keys")

    def on_resize(self, _: Resize) -> None:
        """In a wide window what is said of a field stands beside the form."""
        for split in self.query("#form-split"):
            split.set_class(is_wide(self), "wide")
        self.query_one(PageHead).ask_for(*self._labels.first)
        self.query_one("#form-how").display = bool(self._labels.how)
        self.name_keys()
        self.call_after_refresh(self._say)

    def keys_here(self) -> Sequence[Key]:
        """The keys that have something to do."""
        return self._labels.keys

    def name_keys(self) -> None:
        """Show the keys in the last line."""
        self.query_one("#keys", Static).update(key_bar(self.keys_here(), self.size.width))

    def on_input_form_typed(self) -> None:
        """Check the input in the background, so that keys are not delayed; not where only the focus moved."""
        self._say()
        typed = self._typed()
        if typed != self._to_check:
            self._to_check = typed
            self.run_worker(partial(self._check, typed), thread=True, exclusive=True)

    async def action_submit(self) -> None:
        """Go on if everything is valid, otherwise move to the first field that is not."""
        await self.query_one(InputForm).keys_arrived()
        checked = self.check(self._typed())
        self._take(checked)
        if checked.made is not None:
            self.go_on_with(checked.made)
            return
        wrong = self._wrong(checked)
        first = next((field.key for field in self._fields if field.key in wrong), None)
        self._submitted = True
        if first is not None:
            self.query_one(InputForm).focus_field(first)
        self._say()

    async def action_leave(self) -> None:
        """Leave without writing anything, after a question if something was typed."""
        await self.query_one(InputForm).keys_arrived()
        if self._typed() == self._initial:
            self.dismiss(None)
        else:
            self.app.push_screen(QuestionScreen(*self._labels.leave), self._leave)

    def show_message(self, texts: Sequence[str]) -> None:
        """Show text below the form; where there is room beside it, with the field that it is about."""
        shown = self.query_one("#form-message", Static)
        shown.border_title = StyledText(self.query_one(InputForm).focused_field.label)
        if is_wide(self) and self.query("#form-split"):
            shown.update("\n\n".join(texts))
            return
        width = self.size.width - _EDGES
        lines = [part for text in texts for line in text.splitlines() for part in wrap(line, max(width, 1))]
        shown.update("\n".join(lines[:_MESSAGE_ROWS]), layout=False)

    def _leave(self, leaves: bool | None) -> None:
        if leaves:
            self.dismiss(None)

    def _typed(self) -> dict[str, str]:
        return self.query_one(InputForm).values

    def _check(self, typed: dict[str, str]) -> None:
        self.app.call_from_thread(self._take, self.check(typed))

    def _take(self, checked: FormCheck[Made]) -> None:
        if self.is_attached and checked.typed == self._typed():
            self._checked = checked
            self._say()

    def _wrong(self, checked: FormCheck[Made]) -> set[str]:
        """The keys of the fields with a fault."""
        return {key for key in self._initial if checked.at(key) is not None}

    def _touched(self, key: str) -> bool:
        """Whether a field was edited, or submitting was tried; until then it is not marked as wrong."""
        return self._submitted or self._typed().get(key) != self._initial.get(key)

    def _say(self) -> None:
        form, checked = self.query_one(InputForm), self._checked
        if checked is not None:
            form.mark({key for key in self._wrong(checked) if self._touched(key)})
        self.show_message(self.message(checked, form.focused_field, self._touched(form.focused_field.key)))
