"""One instruction to fill in: checked as it is typed, shown with what it changes, then signed."""

from collections.abc import Callable, Mapping

from coach.model.message_format import fill
from coach.overview.comparison import ComparisonPart
from coach.overview.comparison_text import ComparisonHeadings
from coach.overview.instruction_lines import instruction_text
from coach.screens.therapist.compare_screen import CompareScreen, ToSign
from coach.screens.therapist.form_screen import FormCheck, FormLabels, FormScreen, fault_text
from coach.screens.therapist.instruction_forms import (
    INITIALS,
    REASON,
    FormDefaults,
    InstructionForm,
    fields_meant,
    fields_of,
)
from coach.screens.widgets.form import Field
from coach.session.admission.admit import admit
from coach.store.clock import Clock
from coach.store.therapist.steering import (
    ClientSnapshot,
    InstructionRequest,
    ProposedInstruction,
    propose_instruction,
    sign_instruction,
)
from coach.toml.diagnostic import Refusal, render_without_position

Compare = Callable[[ClientSnapshot, ProposedInstruction], tuple[ComparisonPart, ...]]


class InstructionScreen(FormScreen[ProposedInstruction, str]):
    """Dismissed with a sentence on what was signed, or with None."""

    def __init__(
        self, form: InstructionForm, seen: ClientSnapshot, defaults: FormDefaults, clock: Clock, compared: Compare
    ) -> None:
        messages = defaults.messages
        called, keys = form.title_in(messages), messages.keys
        labels = FormLabels(
            fill(messages.form_title, {"client": seen.folder.profile.name, "instruction": called.name}),
            called.how,
            ("ctrl+s", defaults.content.messages.therapist.pages.now["fill_in"]),
            (("up down", keys["line"]), ("ctrl+s", keys["show"]), ("esc", keys["back"])),
            (messages.leave, messages.leave_yes, messages.leave_no),
            " ".join(defaults.conditions if form.decides_by_conditions else ()),
        )
        super().__init__(labels, fields_of(form, defaults))
        self._form, self._seen, self._defaults, self._clock, self._compared = form, seen, defaults, clock, compared

    def check(self, typed: Mapping[str, str]) -> FormCheck[ProposedInstruction]:
        """Prepare the instruction with the checks that also read the files."""
        values = {key: text for key, text in typed.items() if key not in (INITIALS, REASON)}
        changes = self._form.kind == "change"
        asked = InstructionRequest(
            self._form.kind,
            typed[INITIALS],
            typed[REASON],
            fields={} if changes else values,
            values={key: text for key, text in values.items() if text != self._initial[key]} if changes else {},
        )
        try:
            return FormCheck(
                typed, (), propose_instruction(self._seen, asked, self._defaults.content, self._clock().at)
            )
        except Refusal as refusal:
            by_field = {
                key: one for one in reversed(refusal.faults) for key in fields_meant(one, typed, self._initial)
            }
            return FormCheck(typed, refusal.faults, None, by_field)

    def message(self, checked: FormCheck[ProposedInstruction] | None, field: Field, touched: bool) -> list[str]:
        """The fault of the focused field, else what is expected there; the signature may still be missing."""
        if checked is None or checked.typed == self._initial:
            return [field.how]
        if checked.made is not None:
            return [field.how, fill(self._defaults.messages.checked, {"key": "ctrl+s"})]
        here = checked.at(field.key)
        if here is not None and touched:
            return [fault_text(here, field)]
        signature = (checked.at(INITIALS), checked.at(REASON))
        others = (fault for fault in checked.faults if fault not in signature)
        return [field.how, *(render_without_position(fault) for fault in list(others)[:1])]

    def go_on_with(self, made: ProposedInstruction) -> None:
        """Show what the instruction changes."""
        messages, signed = self._defaults.messages, made.instruction
        what = instruction_text(signed, self._defaults.content.messages)
        headings = ComparisonHeadings(messages.before, messages.after, messages.alike)

        def sign() -> str:
            sign_instruction(self._seen, made)
            return f"{messages.saved_note} {what}"

        name = f"{what}: {signed.reason}"
        content, profile = self._defaults.content, self._seen.folder.profile
        plan = admit(profile, made.prescription, content, made.progress, signed.at).plan
        compared = self._compared(self._seen, made)
        to_sign = ToSign(profile.name, name, signed.initials, compared, headings, messages.nothing, sign, plan)
        self.app.push_screen(CompareScreen(to_sign, content, signed.at), self._after)

    def _after(self, signed: str | None) -> None:
        if signed is not None:
            self.dismiss(signed)
