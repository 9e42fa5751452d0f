"""Applies the therapist's signed instructions: only they end a review or change the position."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime

from msgspec import Struct

from coach.model.base import Name
from coach.model.exercise import Exercise
from coach.model.instruction import Instruction
from coach.model.option_names import InstructionKind
from coach.model.prescription import Prescription
from coach.model.progress import Cleared, Progress, RangeCap
from coach.model.record import Record
from coach.progression.rule_book import RuleBook

_Update = dict[str, object]

# The therapist has seen the level of pain: it is found again from the check-ins that follow.
_PAIN_RESET: _Update = {"pains": (), "usual_pain": None, "usual_since": None, "high_check_ins": 0, "pain_stops": ()}
_STREAKS_RESET: _Update = {"ready_sessions": 0, "under_sessions": 0, "fell_from_nm": None, "falls": 0, "eased": False}


def instructions_in_force(prescription: Prescription, records: Sequence[Record]) -> tuple[Instruction, ...]:
    """The signed instructions without those that were taken back in time.

    An instruction taken back before any session was done under it counts as never signed. One under which a session
    was done stays in force, because its effects cannot be undone; the therapist signs the opposite instead.
    From format 2 on, this follows from who knew what (`causal_order`).
    """
    if any(one.written for one in prescription.sign_offs) or any(one.written for one in records):
        return prescription.sign_offs
    pairs = ((one.signed_at, one.at) for one in prescription.sign_offs if one.signed_at is not None)
    taken_back = {signed_at for signed_at, at in pairs if not session_between(signed_at, at, records)}
    return tuple(one for one in prescription.sign_offs if one.what != "take_back" and one.at not in taken_back)


def session_between(since: datetime, until: datetime, records: Sequence[Record]) -> bool:
    """Whether any session was done between two times, both included."""
    return any(since <= one.last_at <= until for one in records)


def done_under(instruction: Instruction, records: Sequence[Record]) -> bool:
    """Whether any session was done that knew an instruction; before format 2, any after it."""
    signed = instruction.written
    if signed is None:
        return any(one.written is not None or one.last_at >= instruction.at for one in records)
    return any(one.written is not None and one.written.knew(signed) for one in records)


def may_take_back(instruction: Instruction, prescription: Prescription, records: Sequence[Record]) -> bool:
    """Whether an instruction may still be taken back: in force, and no session was done since."""
    return instruction in prescription.instructions_not_taken_back and not done_under(instruction, records)


class _Context(Struct, frozen=True):
    """One instruction, with the progress and prescription that it applies to."""

    instruction: Instruction
    before: Progress
    prescription: Prescription
    book: RuleBook

    @property
    def exercise(self) -> Exercise:
        """The exercise that is prescribed."""
        return self.book.content.exercise(self.prescription.exercise)


def apply_instruction(
    before: Progress, instruction: Instruction, prescription: Prescription, book: RuleBook
) -> Progress:
    """The progress after one signed instruction.

    Signing anything also clears `tell`: the therapist has seen what they were to be told.
    """
    update = _EFFECTS[instruction.what](_Context(instruction, before, prescription, book))
    return before.model_copy(update={"tell": {}, **update})


def _in_position(position: Name, prescription: Prescription) -> _Update:
    """A position starts at its lowest load step and at the bottom of the repetition range (C12)."""
    return {
        **_STREAKS_RESET,
        "position": position,
        "clean_sets": 0,
        "newest_fault": None,
        "form_asked": {},
        "pace_sets": 0,
        "load": None,
        "asked": None,
        "repetitions": prescription.dose_at(position).repetitions_min,
    }


def _end_review(context: _Context) -> _Update:
    return {**_PAIN_RESET, "status": "active", "looked_at": context.instruction.at, "ready_sessions": 0}


def _clear_position(context: _Context) -> _Update:
    """Moves to another position, never above a cap; ends the review only if the review suggested the position."""
    cap, position = context.before.position_cap, context.instruction.position
    if position is None or (cap is not None and context.exercise.is_above(position, cap)):
        return {}
    update = _in_position(position, context.prescription)
    update["cleared"] = (*context.before.cleared, *_cleared(context.instruction))
    if context.before.status == "review" and not _suggested(context):
        return update
    return {**update, "status": "active", "looked_at": context.instruction.at}


def _cleared(instruction: Instruction) -> tuple[Cleared, ...]:
    tested = instruction.apprehension == "absent" or "apprehension" in instruction.despite
    position, known = instruction.position, instruction.conditions
    return () if position is None else (Cleared(position=position, tested=tested, conditions=known),)


def _suggested(context: _Context) -> bool:
    """Whether the review was asked for by a rule that suggests a position; others need an explicit `end_review`."""
    decision = context.before.decision
    rule = context.book.rules_by_name.get(decision.rule) if decision is not None else None
    return decision is None or (rule is not None and rule.then == "suggest_position")


def _overrule(context: _Context) -> _Update:
    """Another load step, other repetitions, or both; a review continues until `end_review` is signed."""
    load = context.instruction.load
    update: _Update = {**_STREAKS_RESET, "repetitions": context.instruction.repetitions or context.before.repetitions}
    return update if load is None else {**update, "load": None, "asked": load}


def _cap_range(context: _Context) -> _Update:
    position, available_deg = context.instruction.position, context.instruction.available_deg
    if position is None or available_deg is None:
        return {}
    others = (one for one in context.before.range_caps if one.position != position)
    return {"range_caps": (*others, RangeCap(position=position, available_deg=available_deg))}


def _cap_position(context: _Context) -> _Update:
    """No position above this one; a client above it goes back to the highest position of the goal it allows."""
    cap = context.instruction.position
    update: _Update = {"position_cap": cap}
    exercise = context.exercise
    if cap is None or not exercise.is_above(context.before.position, cap):
        return update
    allowed = [name for name in context.prescription.positions if not exercise.is_above(name, cap)]
    highest = [name for name in allowed if not any(exercise.is_above(other, name) for other in allowed)]
    return {**update, **_in_position(highest[0], context.prescription)} if highest else update


_WITHDRAWN: _Update = {
    "strengthening_allowed": False,
    "strengthening_allowed_on": None,
    "strengthening_allowed_with": None,
}


def _begin_review(_: _Context) -> _Update:
    """No session until the review is ended. What was allowed is withdrawn; the last session is not its reason."""
    return {**_WITHDRAWN, "night_pain_known_on": None, "status": "review", "decision": None}


def _change(context: _Context) -> _Update:
    """The values are in the prescription; a repair noted after strengthening was allowed closes it again."""
    return _WITHDRAWN if context.instruction.notes_repair else {}


_EFFECTS: Mapping[InstructionKind, Callable[[_Context], _Update]] = {
    "end_review": _end_review,
    "begin_review": _begin_review,
    "unlock_position": _clear_position,
    "overrule": _overrule,
    "freeze_load": lambda context: {"frozen": True, "frozen_until": context.instruction.until},
    "lift_freeze": lambda _: {"frozen": False, "frozen_until": None},
    "cap_range": _cap_range,
    "cap_position": _cap_position,
    "lift_caps": lambda _: {"range_caps": (), "position_cap": None},
    "allow_strengthening": lambda context: {
        "strengthening_allowed": True,
        "strengthening_allowed_on": context.instruction.at.date(),
        "strengthening_allowed_with": context.instruction.conditions,
    },
    "know_night_pain": lambda context: {"night_pain_known_on": context.instruction.at.date()},
    "change": _change,
    "take_back": lambda _: {},
    "correct_date": lambda _: {},  # the dates are right before anything is applied: `Prescription.right_dates`
}
