"""The tests that rules make. Each returns the numbers that matched, or None where it does not match."""

from collections.abc import Callable, Mapping

from coach.model import step_names
from coach.model.record import Number
from coach.progression.situation import Situation

Numbers = Mapping[str, Number]
Condition = Callable[[Situation], Numbers | None]


def warning_sign(situation: Situation) -> Numbers | None:
    """A warning sign was named, or the client could not rule one out (D1, D2)."""
    return {"sign": situation.sign} if situation.sign else None


def equipment_failed(situation: Situation) -> Numbers | None:
    """The band or the anchor failed, or a check before the first repetition found it unsound (D4)."""
    return {"what": situation.equipment} if situation.equipment else None


def pain_over_limit(situation: Situation) -> Numbers | None:
    """Pain above the limit: at the limit the exercise goes on, above it stops (C6)."""
    limit = situation.limits["pain_max"]
    if situation.pain is None or situation.pain <= limit:
        return None
    return {"pain": situation.pain, "limit": round(limit)}


def not_settled(situation: Situation) -> Numbers | None:
    """Pain is still above its level before the last session (C6)."""
    before, now = situation.before.pain_before_last, situation.record.answer(step_names.PAIN_NOW)
    if before is None or not isinstance(now, int) or now <= before:
        return None
    return {"pain": now, "before": before}


def long_gap(situation: Situation) -> Numbers | None:
    """More days since the last session than the tissue and the skill are trusted to keep (ours)."""
    last, limit = situation.before.last_session, situation.limits["long_gap_days"]
    if last is None:
        return None
    days = (situation.record.started.date() - last.date()).days
    return {"days": days, "limit": round(limit)} if days > limit else None


def band_too_heavy(situation: Situation) -> Numbers | None:
    """End range lost, or carried by the blade, more than once in a set (P4, P5)."""
    for done in situation.sets:
        if done.too_heavy:
            return {"set": done.number, "fault": done.too_heavy}
    return None


def under_performed(situation: Situation) -> Numbers | None:
    """A set below the bottom of the range, for so many sessions in a row (C4)."""
    sessions = situation.before.under_sessions + 1
    if not situation.under_performed or sessions < situation.limits["under_sessions"]:
        return None
    lowest = min(done.repetitions for done in situation.sets)
    return {"sessions": sessions, "lowest": lowest, "bottom": situation.record.dose.repetitions_min}


def unclean(situation: Situation) -> Numbers | None:
    """A fault, an unknown answer or a missing set: unknown is never good (C13)."""
    faults = sum(len(done.faults) for done in situation.sets)
    not_sure = sum(done.not_sure for done in situation.sets)
    unanswered = sum(done.unanswered for done in situation.sets)
    unknown = not_sure > situation.limits["not_sure_allowed"] or unanswered > 0
    if not faults and not unknown and situation.sets_missing <= 0:
        return None
    return {"faults": faults, "not_sure": not_sure + unanswered, "missing": situation.sets_missing}


def familiarisation(situation: Situation) -> Numbers | None:
    """The load would rise, and the first weeks are not over (C4)."""
    first = situation.before.first_session
    day = (situation.record.started.date() - first.date()).days if first else 0
    limit = situation.limits["familiarisation_days"]
    return {"day": day + 1, "limit": round(limit)} if day < limit and load_up(situation) else None


def repetitions_up(situation: Situation) -> Numbers | None:
    """Every set clean at the goal, and the goal below the top of the range (C3)."""
    top = situation.record.dose.repetitions_max
    if not situation.all_clean or situation.goal >= top:
        return None
    return {"goal": situation.goal, "top": top}


def load_up(situation: Situation) -> Numbers | None:
    """Every set clean at the top with two more left, so many sessions in a row (C1, C2)."""
    sessions = situation.before.ready_sessions + 1
    wanted = situation.limits["sessions_in_a_row"]
    if not situation.ready or sessions < wanted or situation.record.rungs_now.next_step is None:
        return None
    return {"sessions": sessions, "top": situation.record.dose.repetitions_max}


def otherwise(situation: Situation) -> Numbers | None:
    """Nothing else matched: name what is missing for the next step."""
    top = situation.record.dose.repetitions_max
    return {"missing": _missing(situation), "goal": situation.goal, "top": top}


def _missing(situation: Situation) -> str:
    """The first thing still missing, by its name in the words of the rules."""
    if not situation.all_clean:
        return "repetitions"
    if not situation.two_more:
        return "two_more"
    return "second_session" if situation.record.rungs_now.next_step else "heavier_step"


CONDITIONS: Mapping[str, Condition] = {
    condition.__name__: condition
    for condition in (
        warning_sign,
        equipment_failed,
        pain_over_limit,
        not_settled,
        long_gap,
        band_too_heavy,
        under_performed,
        unclean,
        familiarisation,
        repetitions_up,
        load_up,
        otherwise,
    )
}
