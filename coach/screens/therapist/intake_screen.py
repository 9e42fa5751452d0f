"""Intake of a new client: a form, and a summary of the first session before anything is saved."""

from collections.abc import Mapping
from datetime import date
from functools import partial
from pathlib import Path

from coach.model.content import Content
from coach.model.message_format import fill
from coach.overview.first_session import first_sessions_text
from coach.screens.therapist.form_screen import FormCheck, FormLabels, FormScreen, fault_in_a_sentence, fault_text
from coach.screens.therapist.intake_form import intake_fields, with_direction
from coach.screens.therapist.question_screen import QuestionScreen
from coach.screens.widgets.form import Field
from coach.session.plan import Plan
from coach.store.therapist.intake import ClientTexts, check_client_texts, client_texts, create_client
from coach.store.therapist.intake_fields import fields_of
from coach.toml.diagnostic import FileFault, Refusal

Client = tuple[ClientTexts, tuple[Plan, ...]]


class IntakeScreen(FormScreen[Client, None]):
    """The intake of one client. `saved`: whether the folder was written."""

    def __init__(self, folder: Path, content: Content, today: date) -> None:
        messages, pages = content.messages.therapist.intake, content.messages.therapist.pages
        keys = messages.keys
        labels = FormLabels(
            fill(messages.title, {"folder": folder.name}),
            pages.purpose["intake"],
            ("ctrl+s", pages.now["save"]),
            (
                ("up down", keys["line"]),
                ("pgup pgdn", keys["part"]),
                ("ctrl+s", keys["save"]),
                ("esc", keys["leave"]),
            ),
            (messages.leave, messages.leave_yes, messages.leave_no),
            messages.how,
        )
        super().__init__(labels, intake_fields(content, folder.name))
        self._folder, self._content, self._today, self._messages = folder, content, today, messages
        self.saved = False

    def check(self, typed: Mapping[str, str]) -> FormCheck[Client]:
        """Check both files as they would be written, with the checks that also read them."""
        content = self._content
        texts = client_texts(with_direction(typed, content), self._today, content.clinic)
        found = check_client_texts(texts, self._folder, content)
        made = (found.texts, found.plans) if found.plans else None
        by_field = {key: one for one in reversed(found.faults) for key in fields_of(one, found.texts, typed)}
        return FormCheck(typed, found.faults, made, by_field)

    def message(self, checked: FormCheck[Client] | None, field: Field, touched: bool) -> list[str]:
        """The fault of the focused field, else what is expected there and the first session that would follow."""
        if checked is None:
            return [field.how]
        here = checked.at(field.key)
        if here is not None and touched:
            return [fault_text(here, field), self._hint(field.key)]
        if checked.made is None:
            first = next((one for one in self._fields if checked.at(one.key) is not None), field)
            fault = checked.at(first.key) or checked.faults[0]
            return [
                field.how,
                fill(self._messages.none_yet, {"field": first.label, "what": fault_in_a_sentence(fault, first)}),
            ]
        return [field.how, *first_sessions_text(checked.made[1], self._messages).split("\n")]

    def go_on_with(self, made: Client) -> None:
        """Summarise the first session and ask whether to save."""
        messages = self._messages
        asked = f"{first_sessions_text(made[1], messages)}\n\n{fill(messages.save, {'folder': self._folder})}"
        self.app.push_screen(QuestionScreen(asked, messages.save_yes, messages.save_no), partial(self._save, made[0]))

    def _save(self, texts: ClientTexts, wanted: bool | None) -> None:
        if not wanted:
            return
        try:
            create_client(texts, self._folder, self._content)
        except (Refusal, FileFault) as error:
            self.show_message([str(error)])
            return
        self.saved = True
        self.dismiss(None)

    def _hint(self, key: str) -> str:
        """A hint on how to write a value, if the expected format does not make that clear; else empty."""
        return self._messages.hint.get(key) or self._messages.hint.get(key.rpartition(".")[2], "")
