"""One word of the therapist to fill in: checked as it is typed, then shown with what it changes, then signed."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from re import findall
from textwrap import wrap
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Static

from coach.files.clock import Clock
from coach.files.diagnostic import Refusal, in_words
from coach.files.steering import Asked, Proposed, Seen, propose
from coach.model.language import fill
from coach.overview.compare import Part
from coach.screens.therapist.compare_screen import CompareScreen
from coach.screens.therapist.question_screen import QuestionScreen
from coach.screens.therapist.word_fields import INITIALS, REASON, Now, WordPage, fields_of
from coach.screens.widgets.form import Form
from coach.screens.widgets.words import key_lines, plain

_LABEL_COLUMNS = 29
_MESSAGE_ROWS = 4
_EDGES = 4


Compared = Callable[[Seen, Proposed], tuple[Part, ...]]


@dataclass(frozen=True)
class _Checked:
    """What was typed, and what came of it."""

    typed: dict[str, str]
    proposed: Proposed | None
    refusal: Refusal | None


class WordScreen(Screen[str | None]):
    """Dismissed with what was signed in words, or with None where nothing was."""

    CSS_PATH = "steering.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+s,f10", "show", show=False, priority=True),
        Binding("escape", "leave", show=False, priority=True),
    ]

    def __init__(self, page: WordPage, seen: Seen, now: Now, clock: Clock, compared: Compared) -> None:
        super().__init__()
        self._page, self._seen, self._now, self._clock, self._compared = page, seen, now, clock, compared
        self._fields = fields_of(page, now)
        self._begun = {field.key: field.typed for field in self._fields if field.key}
        self._checked: _Checked | None = None

    def compose(self) -> ComposeResult:
        """The word, its fields, what is wrong with them, the keys."""
        words = self._now.words
        called, keys = self._page.called(words), words.keys
        yield plain(called.name, id="title")
        yield plain(called.how, id="form-how")
        yield Form(self._fields, _LABEL_COLUMNS, id="form")
        yield plain("", id="form-message")
        shown = [f"enter {keys['next']}", f"ctrl+s {keys['show']}", f"esc {keys['back']}"]
        yield plain(key_lines(shown, self.app.size.width), id="keys")

    def on_form_typed(self) -> None:
        """Look at what stands there now, in the background: keys are never kept waiting."""
        self._say()
        self.run_worker(partial(self._check, self._typed()), thread=True, exclusive=True)

    def on_form_done(self) -> None:
        """Enter in the last line."""
        self.action_show()

    def action_show(self) -> None:
        """What it changes, on a page of its own; where something is wrong, go there."""
        checked = self._look(self._typed())
        self._take(checked)
        if checked.proposed is None:
            wrong = self._wrong()
            first = next((field.key for field in self._fields if field.key in wrong), None)
            if first is not None:
                self.query_one(Form).focus_field(first)
            return
        parts = self._compared(self._seen, checked.proposed)
        self.app.push_screen(CompareScreen(self._seen, checked.proposed, parts, self._now.words), self._after)

    def action_leave(self) -> None:
        """Back; what was typed is not thrown away without asking."""
        words = self._now.words
        if self._typed() == self._begun:
            self.dismiss(None)
        else:
            asks = QuestionScreen(words.leave, words.leave_yes, words.leave_no)
            self.app.push_screen(asks, self._leave)

    def _leave(self, leaves: bool | None) -> None:
        if leaves:
            self.dismiss(None)

    def _after(self, signed: str | None) -> None:
        if signed is not None:
            self.dismiss(signed)

    def _typed(self) -> dict[str, str]:
        return self.query_one(Form).values

    def _look(self, typed: dict[str, str]) -> _Checked:
        """What would come of it, by the checks that read the files."""
        values = {key: text for key, text in typed.items() if key not in (INITIALS, REASON)}
        changes = self._page.word == "change"
        asked = Asked(
            self._page.word,
            typed[INITIALS],
            typed[REASON],
            said={} if changes else values,
            values={key: text for key, text in values.items() if text != self._begun[key]} if changes else {},
        )
        try:
            return _Checked(typed, propose(self._seen, asked, self._now.content, self._clock().at), None)
        except Refusal as refusal:
            return _Checked(typed, None, refusal)

    def _check(self, typed: dict[str, str]) -> None:
        self.app.call_from_thread(self._take, self._look(typed))

    def _take(self, checked: _Checked) -> None:
        if self.is_attached and checked.typed == self._typed():
            self._checked = checked
            self._say()

    def _wrong(self) -> set[str]:
        """The fields that the reasons name; what is not typed yet is not wrong yet, unless it is asked for."""
        refusal = self._checked.refusal if self._checked is not None else None
        named = {word for fault in (refusal.faults if refusal else ()) for word in findall(r"\w+", fault.what)}
        return {key for key in self._begun if key.rpartition(".")[2] in named}

    def _say(self) -> None:
        """What is wrong, first with the field in hand; else what is expected there."""
        form, width = self.query_one(Form), self.size.width - _EDGES
        wrong = self._wrong()
        typed = self._typed()
        form.mark({key for key in wrong if typed[key] != self._begun[key]})
        lines = [part for text in self._message(form.in_hand.key, form.in_hand.how) for part in wrap(text, width)]
        self.query_one("#form-message", Static).update("\n".join(lines[:_MESSAGE_ROWS]))

    def _message(self, key: str, how: str) -> list[str]:
        checked, words = self._checked, self._now.words
        if checked is None or checked.typed == self._begun:
            return [how]
        if checked.refusal is None:
            return [how, fill(words.checked, {"key": "ctrl+s"})]
        name = key.rpartition(".")[2]
        here = [one for one in checked.refusal.faults if name in findall(r"\w+", one.what)]
        typed_here = checked.typed.get(key) != self._begun.get(key)
        if here and typed_here:
            return in_words(here[0]).splitlines()
        later = {INITIALS, REASON}
        others = [one for one in checked.refusal.faults if not later & set(findall(r"\w+", one.what))]
        return [how, *(in_words(others[0]).splitlines() if others else ())]
