"""The therapist's instructions as lines of text: what was signed and why, and whether it was taken back."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from coach.model.instruction import Instruction
from coach.model.message_format import fill
from coach.model.messages.therapist import SteeringMessages
from coach.model.option_names import InstructionKind
from coach.model.prescription import Prescription
from coach.model.progress import PendingInstruction
from coach.model.record import Record, Status
from coach.progression.apply_instructions import may_take_back, session_between

_DUE: Mapping[Status, InstructionKind] = {"review": "end_review"}
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
    messages: SteeringMessages,
    pending: Sequence[PendingInstruction] = (),
) -> list[str]:
    """One instruction: when, who and what; then the reason, and whether it counts, was taken back or can be."""
    lines = [
        f"{instruction.at.strftime(_TIME)}  {instruction.initials}  {instruction_text(instruction, messages)}",
        instruction.reason,
    ]
    if any((one.at, one.what) == (instruction.at, instruction.what) for one in pending):
        lines.append(messages.pending)
    for back in prescription.sign_offs:
        if back.signed_at == instruction.at:
            taken = messages.no_effect if session_between(instruction.at, back.at, records) else messages.taken_back
            values = {"at": back.at.strftime(_TIME), "initials": back.initials, "reason": back.reason}
            lines.append(fill(taken, values))
    return [*lines, messages.may_take_back] if may_take_back(instruction, prescription, records) else lines


def instruction_text(instruction: Instruction, messages: SteeringMessages) -> str:
    """The name of an instruction with its values, each with the words of its field in the form."""
    listed_apart = {"at", "initials", "what", "reason", "changed", "load", "written", "lighter"}
    parts = [
        (name, " + ".join(value) if isinstance(value, list) else value)
        for name, value in instruction.model_dump(mode="json", exclude_defaults=True, exclude=listed_apart).items()
    ]
    if instruction.load is not None:
        parts += [(f"load.{name}", value) for name, value in instruction.load.model_dump(exclude_none=True).items()]
    none = messages.nothing_there
    for change in instruction.changed:
        values = {"was": change.was or none, "now": change.now or none}
        parts.append((change.key, fill(messages.change_line, values)))
    name = messages.instruction[instruction.what].name
    told = "; ".join(f"{_label(key, messages)}: {value}" for key, value in parts)
    return f"{name} ({told})" if told else name


def _label(key: str, messages: SteeringMessages) -> str:
    """What a key is called in the form, without a remark in brackets; a limit with its name in the files."""
    first, _, limit = key.partition(".")
    if first == "limits" and limit in messages.limit:
        return f"{messages.limit[limit]}, {limit}"
    known: Mapping[str, str] = messages.field
    return known.get(key, known.get(key.rpartition(".")[2], key)).partition(" (")[0]
