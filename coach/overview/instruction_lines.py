"""The therapist's instructions as lines of text: what was signed and why, and whether it was taken back."""

from collections.abc import Sequence

from coach.model.instruction import Instruction
from coach.model.message_format import fill
from coach.model.messages.therapist import SteeringMessages
from coach.model.prescription import Prescription
from coach.model.progress import PendingInstruction
from coach.model.record import Record
from coach.progression.apply_instructions import may_take_back, session_between

_TIME = "%Y-%m-%d %H:%M:%S"


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
    """The name of an instruction with its values."""
    listed_apart = {"at", "initials", "what", "reason", "changed", "load", "written", "lighter"}
    parts = [
        f"{name} {' + '.join(value) if isinstance(value, list) else value}"
        for name, value in instruction.model_dump(mode="json", exclude_defaults=True, exclude=listed_apart).items()
    ]
    if instruction.load is not None:
        parts += [f"{name} {value}" for name, value in instruction.load.model_dump(exclude_none=True).items()]
    none = messages.nothing_there
    for change in instruction.changed:
        parts.append(
            fill(messages.change_line, {"key": change.key, "was": change.was or none, "now": change.now or none})
        )
    name = messages.instruction[instruction.what].name
    return f"{name}: {', '.join(parts)}" if parts else name
