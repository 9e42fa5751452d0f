"""The therapist's instructions as lines of text: what was signed and why, and whether it was taken back."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime

from coach.model.condition import KnownCondition
from coach.model.content import Messages
from coach.model.instruction import Instruction
from coach.model.message_format import fill, localized
from coach.model.messages.therapist import SteeringMessages
from coach.model.option_names import InstructionKind
from coach.model.prescription import Prescription
from coach.model.progress import PendingInstruction
from coach.model.record import Record, Status
from coach.progression.apply_instructions import may_take_back, session_between

_DUE: Mapping[Status, InstructionKind] = {"review": "end_review"}
_IN_WORDS = ("apprehension", "despite", "conditions")
_TIME = "%Y-%m-%d %H:%M:%S"


def instruction_due(status: Status, dates: Iterable[datetime], now: datetime) -> InstructionKind:
    """What is signed next for a client who stands so: in review its end, else a change of the programme.

    Before both, a date to come among those of sessions and instructions is put right: there is no session until then.
    """
    return "correct_date" if any(one > now for one in dates) else _DUE.get(status, "change")


def instruction_lines(
    instruction: Instruction,
    prescription: Prescription,
    records: Sequence[Record],
    messages: Messages,
    pending: Sequence[PendingInstruction] = (),
) -> list[str]:
    """One instruction: when, who and what; then the reason, and whether it counts, was taken back or can be."""
    steering = messages.therapist.steering
    lines = [
        f"{instruction.at.strftime(_TIME)}  {instruction.initials}  {instruction_text(instruction, messages)}",
        instruction.reason,
    ]
    if any((one.at, one.what) == (instruction.at, instruction.what) for one in pending):
        lines.append(steering.pending)
    for back in prescription.sign_offs:
        if back.signed_at == instruction.at:
            taken = steering.no_effect if session_between(instruction.at, back.at, records) else steering.taken_back
            values = {"at": back.at.strftime(_TIME), "initials": back.initials, "reason": back.reason}
            lines.append(fill(taken, values))
    return [*lines, steering.may_take_back] if may_take_back(instruction, prescription, records) else lines


def instruction_text(instruction: Instruction, messages: Messages) -> str:
    """The name of an instruction with its values, each with the words of its field in the form."""
    steering = messages.therapist.steering
    name = steering.instruction[instruction.what].name
    told = "; ".join(
        f"{_label(key, steering)}: {localized(value, name)}" for key, value in _values(instruction, messages)
    )
    return f"{name} ({told})" if told else name


def _values(instruction: Instruction, messages: Messages) -> Iterator[tuple[str, object]]:
    """The key and the value of each field that was signed, in words where the content has them."""
    steering, conditions = messages.therapist.steering, messages.conditions
    apart = {"at", "initials", "what", "reason", "changed", "load", "written", "lighter", *_IN_WORDS}
    yield from instruction.model_dump(mode="json", exclude_defaults=True, exclude=apart).items()
    if instruction.apprehension is not None:
        yield "apprehension", steering.apprehension[instruction.apprehension]
    if instruction.despite:
        yield "despite", ", ".join(conditions.finding[one] for one in instruction.despite)
    if instruction.conditions:
        yield "conditions", ", ".join(_condition(one, messages) for one in instruction.conditions)
    if instruction.load is not None:
        for name, value in instruction.load.model_dump(exclude_none=True).items():
            yield f"load.{name}", value
    none = steering.nothing_there
    for change in instruction.changed:
        yield change.key, fill(steering.change_line, {"was": change.was or none, "now": change.now or none})


def _condition(known: KnownCondition, messages: Messages) -> str:
    """A condition by its name, with its day."""
    kind = messages.conditions.condition.get(known.kind)
    values = {"name": known.kind if kind is None else kind.name, "day": known.on.isoformat()}
    return fill(messages.therapist.steering.known_condition, values)


def _label(key: str, messages: SteeringMessages) -> str:
    """What a key is called in the form, without a remark in brackets; a limit with its name in the files."""
    first, _, limit = key.partition(".")
    if first == "limits" and limit in messages.limit:
        return f"{messages.limit[limit]}, {limit}"
    known: Mapping[str, str] = messages.field
    return known.get(key, known.get(key.rpartition(".")[2], key)).partition(" (")[0]
