"""A new client in the terminal: a form checked as it is typed, the first session said before it is saved."""

from datetime import date
from functools import partial
from pathlib import Path
from re import findall
from textwrap import wrap
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Static

from coach.files.diagnostic import FileFault, Refusal, in_words
from coach.files.intake import Checked, check, take_on, texts_of
from coach.model.content_set import Content
from coach.model.language import fill
from coach.model.page_words.intake import IntakeWords
from coach.overview.first_session import first_session
from coach.screens.therapist.intake_fields import intake_fields, with_direction
from coach.screens.therapist.question_screen import QuestionScreen
from coach.screens.widgets.form import Form
from coach.screens.widgets.words import key_lines, plain

_LABEL_COLUMNS, _MESSAGE_ROWS, _EDGES = 29, 4, 4


class IntakeScreen(Screen[None]):
    """One new client. `saved` says whether they are in their folder."""

    CSS_PATH = "steering.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+s,f10", "save", show=False, priority=True),
        Binding("escape", "leave", show=False, priority=True),
    ]

    def __init__(self, folder: Path, content: Content, today: date) -> None:
        super().__init__()
        self._folder, self._content, self._today = folder, content, today
        self._words = content.words.of(IntakeWords)
        self._fields = intake_fields(content, folder.name)
        self._begun = {field.key: field.typed for field in self._fields if field.key}
        self._checked: tuple[dict[str, str], Checked] | None = None
        self.saved = False

    def compose(self) -> ComposeResult:
        """The form, what is wrong or what comes of it, the keys."""
        keys = self._words.keys
        yield plain(fill(self._words.title, {"folder": self._folder.name}), id="title")
        yield plain(self._words.how, id="form-how")
        yield Form(self._fields, _LABEL_COLUMNS, id="form")
        yield plain("", id="form-message")
        shown = [f"enter {keys['next']}", f"ctrl+s {keys['save']}", f"esc {keys['leave']}"]
        yield plain(key_lines(shown, self.app.size.width), id="keys")

    def on_form_typed(self) -> None:
        """Look at what stands there now, in the background."""
        self._say()
        self.run_worker(partial(self._check, self._typed()), thread=True, exclusive=True)

    def on_form_done(self) -> None:
        """Enter in the last line."""
        self.action_save()

    def action_save(self) -> None:
        """Say the first session and ask; where something is wrong or missing, go there."""
        typed = self._typed()
        checked = self._look(typed)
        self._take(typed, checked)
        if checked.faults:
            wrong = self._wrong(checked)
            first = next((field.key for field in self._fields if field.key in wrong), None)
            if first is not None:
                self.query_one(Form).focus_field(first)
            self._tell([in_words(checked.faults[0])])
            return
        words = self._words
        asked = f"{first_session(checked.plan, words)}\n\n{fill(words.save, {'folder': self._folder})}"
        self.app.push_screen(QuestionScreen(asked, words.save_yes, words.save_no), partial(self._save, checked))

    def action_leave(self) -> None:
        """Nothing is written; what was typed is not thrown away without asking."""
        words = self._words
        if self._typed() == self._begun:
            self.dismiss(None)
        else:
            self.app.push_screen(QuestionScreen(words.leave, words.leave_yes, words.leave_no), self._leave)

    def _leave(self, leaves: bool | None) -> None:
        if leaves:
            self.dismiss(None)

    def _save(self, checked: Checked, wanted: bool | None) -> None:
        if not wanted:
            return
        try:
            take_on(checked.texts, self._folder, self._content)
        except (Refusal, FileFault, OSError) as refused:
            self._tell([str(refused)])
            return
        self.saved = True
        self.dismiss(None)

    def _typed(self) -> dict[str, str]:
        return self.query_one(Form).values

    def _look(self, typed: dict[str, str]) -> Checked:
        return check(texts_of(with_direction(typed, self._content), self._today), self._folder, self._content)

    def _check(self, typed: dict[str, str]) -> None:
        self.app.call_from_thread(self._take, typed, self._look(typed))

    def _take(self, typed: dict[str, str], checked: Checked) -> None:
        if self.is_attached and typed == self._typed():
            self._checked = (typed, checked)
            self._say()

    def _wrong(self, checked: Checked) -> set[str]:
        """The fields that the faults name."""
        named = {word for fault in checked.faults for word in findall(r"\w+", fault.what)}
        return {key for key in self._begun if key.rpartition(".")[2] in named}

    def _say(self) -> None:
        """What is wrong with the field in hand, else what is expected there and what comes of it all."""
        form, typed = self.query_one(Form), self._typed()
        checked = self._checked[1] if self._checked is not None else None
        if checked is None:
            self._tell([form.in_hand.how])
            return
        wrong = self._wrong(checked)
        form.mark({key for key in wrong if typed[key] != self._begun[key]})
        key = form.in_hand.key
        here = [one for one in checked.faults if key.rpartition(".")[2] in findall(r"\w+", one.what)]
        if here and typed.get(key) != self._begun.get(key):
            self._tell([in_words(here[0]), self._hint(key)])
        elif checked.faults:
            self._tell([form.in_hand.how, fill(self._words.none_yet, {"what": checked.faults[0].what})])
        else:
            self._tell([form.in_hand.how, first_session(checked.plan, self._words)])

    def _hint(self, key: str) -> str:
        """How a field is written where that is not plain from what is expected."""
        return self._words.hint.get(key) or self._words.hint.get(key.rpartition(".")[2], "")

    def _tell(self, texts: list[str]) -> None:
        width = self.size.width - _EDGES
        lines = [part for text in texts for line in text.splitlines() for part in wrap(line, width)]
        self.query_one("#form-message", Static).update("\n".join(lines[:_MESSAGE_ROWS]))
