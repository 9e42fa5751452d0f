"""A new client in the terminal: a form checked as it is typed, the first session said before it is saved."""

from collections.abc import Mapping
from datetime import date
from functools import partial
from pathlib import Path

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.intake import IntakeWords
from coach.overview.first_session import first_session
from coach.screens.therapist.form_screen import Checked, FormScreen, Frame
from coach.screens.therapist.intake_form import intake_fields, with_direction
from coach.screens.therapist.question_screen import QuestionScreen
from coach.screens.widgets.form import Field
from coach.session.plan import Plan
from coach.store.therapist.intake import Texts, check, take_on, texts_of
from coach.store.therapist.intake_fields import fields_of
from coach.toml.diagnostic import FileFault, Refusal, in_words

Client = tuple[Texts, Plan]


class IntakeScreen(FormScreen[Client, None]):
    """One new client. `saved` says whether they are in their folder."""

    def __init__(self, folder: Path, content: Content, today: date) -> None:
        words = content.words.of(IntakeWords)
        keys = words.keys
        frame = Frame(
            fill(words.title, {"folder": folder.name}),
            words.how,
            (f"enter {keys['next']}", f"ctrl+s {keys['save']}", f"esc {keys['leave']}"),
            (words.leave, words.leave_yes, words.leave_no),
        )
        super().__init__(frame, intake_fields(content, folder.name))
        self._folder, self._content, self._today, self._words = folder, content, today, words
        self.saved = False

    def check(self, typed: Mapping[str, str]) -> Checked[Client]:
        """Both files as they would be, by the checks that read the files."""
        found = check(texts_of(with_direction(typed, self._content), self._today), self._folder, self._content)
        made = (found.texts, found.plan) if found.plan is not None else None
        told = {key: one for one in reversed(found.faults) for key in fields_of(one, found.texts, typed)}
        return Checked(typed, found.faults, made, told)

    def message(self, checked: Checked[Client] | None, field: Field, touched: bool) -> list[str]:
        """What is wrong with the field in hand, else what is expected there and what comes of it all."""
        if checked is None:
            return [field.how]
        here = checked.at(field.key)
        if here is not None and touched:
            return [in_words(here), self._hint(field.key)]
        if checked.made is None:
            first = next((one for one in self._fields if checked.at(one.key) is not None), field)
            fault = checked.at(first.key) or checked.faults[0]
            return [field.how, fill(self._words.none_yet, {"field": first.label, "what": fault.what})]
        return [field.how, first_session(checked.made[1], self._words)]

    def go_on_with(self, made: Client) -> None:
        """Say the first session and ask."""
        words = self._words
        asked = f"{first_session(made[1], words)}\n\n{fill(words.save, {'folder': self._folder})}"
        self.app.push_screen(QuestionScreen(asked, words.save_yes, words.save_no), partial(self._save, made[0]))

    def _save(self, texts: Texts, wanted: bool | None) -> None:
        if not wanted:
            return
        try:
            take_on(texts, self._folder, self._content)
        except (Refusal, FileFault) as refused:
            self.tell([str(refused)])
            return
        self.saved = True
        self.dismiss(None)

    def _hint(self, key: str) -> str:
        """How a field is written where that is not plain from what is expected."""
        return self._words.hint.get(key) or self._words.hint.get(key.rpartition(".")[2], "")
