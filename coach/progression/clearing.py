"""What is missing before a position can be cleared."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date

from coach.model import step_names
from coach.model.base import Name
from coach.model.condition import Condition, Finding
from coach.model.exercise import Exercise
from coach.model.instruction import Instruction
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.progress import Progress
from coach.model.record import Answered, Record

_GAVE_WAY = "gave_way"


def missing_for(
    instruction: Instruction,
    profile: Profile,
    prescription: Prescription,
    progress: Progress,
    records: Iterable[Record],
    kinds: Iterable[Condition],
    exercise: Exercise,
    limits: Mapping[str, float],
) -> tuple[Finding, ...]:
    """What the clearing of a position lacks and does not say it waives; empty where it can be signed.

    `kinds` are the kinds of the client's conditions. A finding of apprehension that is present cannot be waived.
    """
    name = instruction.position
    if instruction.what != "unlock_position" or name is None:
        return ()
    position = exercise.position(name)
    missing: list[Finding] = []
    if profile.available_deg(name, position.direction) is None:
        missing.append("range")
    if not any((one.position, one.direction) == (name, position.direction) for one in profile.strengths):
        missing.append("strength")
    if _gave_way(records, instruction.at.date(), limits["gave_way_days"]):
        missing.append("gave_way")
    if any(kind.closes(position) for kind in kinds) and instruction.apprehension != "absent":
        missing.append("apprehension")
    if _skipped(prescription.positions, progress.position, name):
        missing.append("order")
    if profile.irritability is not None and profile.irritability.level == "high":
        missing.append("irritability")
    waived = set(instruction.despite) - ({"apprehension"} if instruction.apprehension == "present" else set())
    return tuple(one for one in missing if one not in waived)


def cleared_above_cap(prescription: Prescription, exercise: Exercise) -> Iterator[tuple[Instruction, Name]]:
    """Each instruction that clears a position above the cap of that time, with the cap; the fold ignores it."""
    cap: Name | None = None
    for instruction in prescription.instructions_not_taken_back:
        position = instruction.position
        if instruction.what == "lift_caps":
            cap = None
        elif instruction.what == "cap_position":
            cap = position
        elif instruction.what != "unlock_position" or cap is None or position is None:
            continue
        elif exercise.is_above(position, cap):
            yield instruction, cap


def _gave_way(records: Iterable[Record], today: date, days: float) -> bool:
    """Whether the shoulder slipped or gave way in the days before."""
    recent = (record for record in records if 0 <= (today - record.started.date()).days < days)
    return any(_GAVE_WAY in _named(record) for record in recent)


def _named(record: Record) -> Iterator[object]:
    steps = (step_names.TROUBLE, step_names.within_group(step_names.SIGN))
    answers = (one for one in record.entry if isinstance(one, Answered))
    return (one.value for one in answers if step_names.within_group(one.step) in steps)


def _skipped(order: tuple[Name, ...], here: Name, there: Name) -> bool:
    """Whether a position of the goal between the two was left out."""
    if here not in order or there not in order:
        return False
    return order.index(there) - order.index(here) > 1
