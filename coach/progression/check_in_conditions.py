"""The tests that rules make of the check-in, and of what can stop a session. Each gives its numbers, or None."""

from collections.abc import Callable, Mapping

from coach.model.record import Number
from coach.progression.facts import Situation

Numbers = Mapping[str, Number]
Condition = Callable[[Situation], Numbers | None]

# Means are compared to a millionth: far below one answer, far above what adding fractions loses.
_DIGITS = 6


def warning_sign(situation: Situation) -> Numbers | None:
    """A warning sign was named, or the client could not rule one out (D1, D2)."""
    return {"sign": situation.sign} if situation.sign else None


def after_repair(situation: Situation) -> Numbers | None:
    """A cuff repair too short a time ago, without the word of the surgeon or therapist (D3)."""
    before = situation.before
    if before.repaired_on is None or before.strengthening_allowed:
        return None
    days, weeks = (situation.record.started.date() - before.repaired_on).days, situation.limits["repair_weeks"]
    return {"weeks": days // 7, "limit": round(weeks)} if days < weeks * 7 else None


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
    """Pain is still above its level before the last session, however many days ago that was (C6)."""
    before, now = situation.before.pain_before_last, situation.pain_now
    if before is None or now is None or now <= before:
        return None
    return {"pain": now, "before": before}


def pain_rising(situation: Situation) -> Numbers | None:
    """The mean of this week's check-ins is above last week's by what the therapist is to hear of (C10)."""
    return _risen_by(situation, situation.limits["pain_rise_tell"])


def pain_rising_fast(situation: Situation) -> Numbers | None:
    """The mean of this week's check-ins is above last week's by so much that the load is lowered (C10)."""
    return _risen_by(situation, situation.limits["pain_rise_regress"])


def _risen_by(situation: Situation, limit: float) -> Numbers | None:
    """Seven days to today against the seven before, each with enough check-ins to have a mean worth comparing."""
    means = situation.weekly_pain
    if means is None or round(means[0] - means[1], _DIGITS) < limit:
        return None
    return {"this_week": round(means[0], 1), "last_week": round(means[1], 1)}


def long_gap(situation: Situation) -> Numbers | None:
    """More days since the last session than the tissue and the skill are trusted to keep (ours)."""
    last, limit = situation.before.last_session, situation.limits["long_gap_days"]
    if last is None:
        return None
    days = situation.days_since(last)
    return {"days": days, "limit": round(limit)} if days > limit else None


def twelve_weeks(situation: Situation) -> Numbers | None:
    """So many weeks since the first session, or since the therapist last let it go on (C5)."""
    began, looked = situation.before.first_session, situation.before.looked_at
    if began is None:
        return None
    days = situation.days_since(max(began, looked) if looked else began)
    limit = situation.limits["review_weeks"]
    return {"weeks": days // 7, "limit": round(limit)} if days >= limit * 7 else None
