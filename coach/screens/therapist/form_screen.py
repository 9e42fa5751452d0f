"""A page to fill in: checked in the background as it is typed, with what is wrong, or what comes of it, below."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from re import findall
from textwrap import wrap
from typing import ClassVar, Generic, TypeVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Static

from coach.screens.therapist.question_screen import QuestionScreen
from coach.screens.widgets.form import Field, Form
from coach.screens.widgets.text import key_lines, plain
from coach.toml.diagnostic import Diagnostic

Made = TypeVar("Made")
Result = TypeVar("Result")

_LABEL_COLUMNS, _MESSAGE_ROWS, _EDGES = 29, 4, 4


@dataclass(frozen=True)
class Checked(Generic[Made]):
    """What was typed, what is wrong with it, and what it makes where nothing is.

    `by_field`: the first fault of each field, where whoever checked knows it better than by the names in the faults.
    """

    typed: Mapping[str, str]
    faults: tuple[Diagnostic, ...]
    made: Made | None
    by_field: Mapping[str, Diagnostic] | None = None

    def at(self, key: str) -> Diagnostic | None:
        """What is wrong with a field: the first fault of it."""
        if self.by_field is not None:
            return self.by_field.get(key)
        return next((fault for fault in self.faults if _name(key) in names_in(fault)), None)


def names_in(fault: Diagnostic) -> set[str]:
    """The words of a fault, the names of fields among them."""
    return set(findall(r"\w+", fault.what))


def _name(key: str) -> str:
    return key.rpartition(".")[2]


@dataclass(frozen=True)
class Frame:
    """The words around the fields: title, how, the keys; and the question before what was typed is thrown away."""

    title: str
    how: str
    keys: tuple[str, ...]
    leave: tuple[str, str, str]


class FormScreen(Screen[Result | None], Generic[Made, Result]):
    """Dismissed with None where it is left. A page of it says what it checks, what it tells, and what then."""

    CSS_PATH = "steering.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+s,f10", "submit", show=False, priority=True),
        Binding("escape", "leave", show=False, priority=True),
    ]

    def __init__(self, frame: Frame, fields: Sequence[Field]) -> None:
        super().__init__()
        self._frame, self._fields = frame, fields
        self._begun = {field.key: field.typed for field in fields if field.key}
        self._checked: Checked[Made] | None = None
        self._asked = False

    def check(self, typed: Mapping[str, str]) -> Checked[Made]:
        """What comes of what is typed; it may take its time."""
        raise NotImplementedError

    def message(self, checked: Checked[Made] | None, field: Field, touched: bool) -> list[str]:
        """What is said while a field is in hand; `touched` where something was typed into it."""
        raise NotImplementedError

    def go_on_with(self, made: Made) -> None:
        """Nothing is wrong: what comes after the form."""
        raise NotImplementedError

    def compose(self) -> ComposeResult:
        """What it is about, the fields, what is wrong with them, the keys."""
        yield plain(self._frame.title, id="title")
        yield plain(self._frame.how, id="form-how")
        yield Form(self._fields, _LABEL_COLUMNS, id="form")
        yield plain("", id="form-message")
        yield plain(key_lines(self._frame.keys, self.app.size.width), id="keys")

    def on_form_typed(self) -> None:
        """Look at what stands there now, in the background: keys are never kept waiting."""
        self._say()
        self.run_worker(partial(self._check, self._typed()), thread=True, exclusive=True)

    def on_form_done(self) -> None:
        """Enter in the last line."""
        self.action_submit()

    def action_submit(self) -> None:
        """Go on; where something is wrong or missing, go there."""
        checked = self.check(self._typed())
        self._take(checked)
        if checked.made is not None:
            self.go_on_with(checked.made)
            return
        wrong = self._wrong(checked)
        first = next((field.key for field in self._fields if field.key in wrong), None)
        self._asked = True
        if first is not None:
            self.query_one(Form).focus_field(first)
        self._say()

    def action_leave(self) -> None:
        """Nothing is written; what was typed is not thrown away without asking."""
        if self._typed() == self._begun:
            self.dismiss(None)
        else:
            self.app.push_screen(QuestionScreen(*self._frame.leave), self._leave)

    def tell(self, texts: Sequence[str]) -> None:
        """Say something below the form."""
        width = self.size.width - _EDGES
        lines = [part for text in texts for line in text.splitlines() for part in wrap(line, width)]
        self.query_one("#form-message", Static).update("\n".join(lines[:_MESSAGE_ROWS]))

    def _leave(self, leaves: bool | None) -> None:
        if leaves:
            self.dismiss(None)

    def _typed(self) -> dict[str, str]:
        return self.query_one(Form).values

    def _check(self, typed: dict[str, str]) -> None:
        self.app.call_from_thread(self._take, self.check(typed))

    def _take(self, checked: Checked[Made]) -> None:
        if self.is_attached and checked.typed == self._typed():
            self._checked = checked
            self._say()

    def _wrong(self, checked: Checked[Made]) -> set[str]:
        """The fields that the faults name."""
        return {key for key in self._begun if checked.at(key) is not None}

    def _touched(self, key: str) -> bool:
        """Whether something was typed into a field: until then it is not wrong yet, unless going on was tried."""
        return self._asked or self._typed().get(key) != self._begun.get(key)

    def _say(self) -> None:
        form, checked = self.query_one(Form), self._checked
        if checked is not None:
            form.mark({key for key in self._wrong(checked) if self._touched(key)})
        self.tell(self.message(checked, form.in_hand, self._touched(form.in_hand.key)))
