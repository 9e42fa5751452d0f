"""The forms of the therapist: the instruction that each form signs, and the values that it asks for."""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from re import findall
from typing import Literal

from msgspec import Struct

from coach.frozen import FromFile
from coach.model.base import Name
from coach.model.content import Content
from coach.model.instruction import Instruction
from coach.model.message_format import fill
from coach.model.messages.therapist import InstructionGroup, InstructionMessages, SteeringMessages
from coach.model.option_names import InstructionKind
from coach.model.prescription import Prescription
from coach.screens.therapist.asked_field import asked_field
from coach.screens.widgets.form import Field
from coach.store.therapist.prescription_file import value_at
from coach.toml.diagnostic import Diagnostic
from coach.toml.expected import expected_at
from coach.toml.input_parsing import format_input

INITIALS, REASON = "initials", "reason"
_TEMPO = tuple(f"dose.tempo.{name}" for name in ("out_s", "hold_s", "back_s", "relax_s"))
_SETS = tuple(f"dose.{name}" for name in ("sets", "sets_least", "repetitions_min", "repetitions_max"))
_DOSE = (*_SETS, *_TEMPO, "dose.rest_s", "dose.count_in_s", "dose.days_a_week")
_PROGRAMME = ("goal", "exercise", "positions", "bands", "activities", "repaired_on", "measured_holds")
# What is signed with the client's conditions and irritability in view.
_BY_CONDITIONS = ("unlock_position", "allow_strengthening", "know_night_pain")
_SETUP = ("anchor_height_cm", "body_turn_deg", "distance_cm")


class FormDefaults(Struct, frozen=True):
    """The client's current data, from which the forms take their initial values.

    `revocable` has the times, as ISO 8601, of the instructions that may still be taken back, newest first.
    `conditions` are the client's conditions and irritability in words.
    """

    data: Mapping[str, object]
    prescription: Prescription
    position: Name
    content: Content
    revocable: tuple[str, ...]
    conditions: tuple[str, ...] = ()

    @property
    def messages(self) -> SteeringMessages:
        """The messages of the forms."""
        return self.content.messages.therapist.steering


class InstructionForm(Struct, frozen=True):
    """A key, the kind of instruction that it signs, what that is for, and the fields.

    `part` names the part that a change is of.
    """

    key: str
    kind: InstructionKind
    group: InstructionGroup
    fields: Callable[[FormDefaults], Sequence[Field]]
    part: Literal["dose", "limits", "setups", "programme"] | None = None

    @property
    def decides_by_conditions(self) -> bool:
        """Whether the client's conditions and irritability are read again before this is signed."""
        return self.kind in _BY_CONDITIONS

    def title_in(self, messages: SteeringMessages) -> InstructionMessages:
        """The name of the form and what it does, in a language."""
        return messages.part[self.part] if self.part else messages.instruction[self.kind]


def _field(model: type[FromFile], defaults: FormDefaults, key: str, typed: str = "", label: str = "") -> Field:
    """A field with a hint on what its model expects."""
    here = expected_at(model, tuple(key.split(".")), {})
    return asked_field(key, label or defaults.messages.field[key], typed, here)


def _own_fields(defaults: FormDefaults, *keys: str, **initial: str) -> tuple[Field, ...]:
    """The fields of an instruction, empty except for the given initial values."""
    return tuple(_field(Instruction, defaults, key, initial.get(key, "")) for key in keys)


def _prescription_fields(defaults: FormDefaults, keys: Sequence[str]) -> tuple[Field, ...]:
    """Fields with the current values of the prescription."""
    return tuple(_field(Prescription, defaults, key, format_input(value_at(defaults.data, key))) for key in keys)


def _limits(defaults: FormDefaults) -> Sequence[Field]:
    """A field for every limit; empty unless the therapist has changed it."""
    fields = []
    for limit in defaults.content.limits:
        numbers = {"value": limit.value, "low": limit.low, "high": limit.high}
        in_digits = {name: f"{number:g}" for name, number in numbers.items()}
        how = fill(defaults.messages.limit_how, {**in_digits, "unit": limit.unit})
        typed = format_input(value_at(defaults.data, f"limits.{limit.name}"))
        fields.append(
            Field(
                f"limits.{limit.name}",
                defaults.messages.limit[limit.name],
                typed,
                f"{how} {limit.source}",
                short=True,
            )
        )
    return fields


def _setups(defaults: FormDefaults) -> Sequence[Field]:
    """The fixed setup of each position, and the target load at which its progression ends."""
    fields: list[Field] = []
    content, exercise = defaults.content, defaults.prescription.exercise
    for position in defaults.prescription.positions:
        label = content.position_label(position, exercise)
        fields.append(Field("", fill(defaults.messages.at_position, {"position": label})))
        keys = [f"setups.{position}.{name}" for name in _SETUP] + [f"targets.{position}.mean_nm"]
        for key in keys:
            head, _, name = key.split(".")
            here = expected_at(Prescription, (head, 0, name), {})
            typed = format_input(value_at(defaults.data, key))
            fields.append(asked_field(key, defaults.messages.field[name], typed, here))
    return fields


def _no_field(_: FormDefaults) -> Sequence[Field]:
    return ()


# In display order, by group.
INSTRUCTION_FORMS: tuple[InstructionForm, ...] = (
    InstructionForm("e", "end_review", "go_on", _no_field),
    InstructionForm("s", "allow_strengthening", "go_on", _no_field),
    InstructionForm("n", "know_night_pain", "go_on", _no_field),
    InstructionForm("b", "begin_review", "hold_back", _no_field),
    InstructionForm("f", "freeze_load", "hold_back", lambda defaults: _own_fields(defaults, "until")),
    InstructionForm(
        "r",
        "cap_range",
        "hold_back",
        lambda defaults: _own_fields(defaults, "position", "available_deg", position=defaults.position),
    ),
    InstructionForm("p", "cap_position", "hold_back", lambda defaults: _own_fields(defaults, "position")),
    InstructionForm("l", "lift_freeze", "allow_more", _no_field),
    InstructionForm("c", "lift_caps", "allow_more", _no_field),
    InstructionForm(
        "u",
        "unlock_position",
        "allow_more",
        lambda defaults: _own_fields(defaults, "position", "apprehension", "despite"),
    ),
    InstructionForm(
        "o",
        "overrule",
        "change",
        lambda defaults: _own_fields(
            defaults, "load.grade", "load.strands", "load.distance_cm", "load.share", "repetitions"
        ),
    ),
    InstructionForm("d", "change", "change", partial(_prescription_fields, keys=_DOSE), "dose"),
    InstructionForm("m", "change", "change", _limits, "limits"),
    InstructionForm("t", "change", "change", _setups, "setups"),
    InstructionForm("g", "change", "change", partial(_prescription_fields, keys=_PROGRAMME), "programme"),
    InstructionForm(
        "z",
        "take_back",
        "correct",
        lambda defaults: _own_fields(defaults, "signed_at", signed_at=next(iter(defaults.revocable), "")),
    ),
    InstructionForm(
        "w", "correct_date", "correct", lambda defaults: _own_fields(defaults, "record", "wrong_at", "right_at")
    ),
)


def form_of(kind: InstructionKind) -> InstructionForm:
    """The form that signs an instruction of a kind; of a change, the dose."""
    return next(form for form in INSTRUCTION_FORMS if form.kind == kind)


def fields_meant(fault: Diagnostic, typed: Mapping[str, str], before: Mapping[str, str]) -> list[str]:
    """The keys of the fields that a fault is of: of those that it names, the ones that were edited, if any was.

    A fault that begins with the name of a field is of this field, whatever else it mentions.
    """
    first, *others = findall(r"\w+", fault.what) or [""]
    named = [[key for key in typed if key.rpartition(".")[2] in words] for words in ([first], others)]
    keys = named[0] or named[1]
    return [key for key in keys if typed[key] != before.get(key)] or keys


def fields_of(form: InstructionForm, defaults: FormDefaults) -> tuple[Field, ...]:
    """The fields of a form, with the signature below."""
    messages = defaults.messages
    signature = (
        _field(Instruction, defaults, INITIALS, "", messages.initials),
        Field(REASON, messages.reason, "", messages.reason_how),
    )
    return (*form.fields(defaults), Field("", messages.sign), *signature)
