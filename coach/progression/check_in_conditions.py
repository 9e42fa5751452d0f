"""Rule conditions on the check-in and on what can stop a session.

Each takes the facts and returns the numbers for the rule's message, or None where it does not match.
"""

from collections.abc import Callable, Mapping

from coach.model.option_names import UNKNOWN_PAIN
from coach.model.record import Number
from coach.progression.facts import SessionFacts

Numbers = Mapping[str, Number]
Condition = Callable[[SessionFacts], Numbers | None]

TO_COME = "to_come"
"""Stands for the weeks since a day that is still to come."""
# Means are compared to a millionth: far below one answer, far above what adding fractions loses.
_DIGITS = 6


def warning_sign(facts: SessionFacts) -> Numbers | None:
    """A warning sign was named, or the client could not rule one out (D1, D2)."""
    return {"sign": facts.sign} if facts.sign else None


def after_repair(facts: SessionFacts) -> Numbers | None:
    """A cuff repair, and strengthening not yet allowed by surgeon or therapist (D3).

    Weeks are a floor, never a permission: a programme that was signed after them allows it, and otherwise only the
    instruction does. Until the day of an operation that is planned it waits too.
    """
    before, weeks, today = facts.before, facts.limits["repair_weeks"], facts.record.started.date()
    if before.repaired_on is None or before.may_strengthen:
        return None
    signed_on, days = before.prescribed_on, (today - before.repaired_on).days
    if signed_on is not None and signed_on <= today and (signed_on - before.repaired_on).days >= weeks * 7:
        return None
    return {"weeks": days // 7 if days >= 0 else TO_COME, "limit": round(weeks)}


def equipment_failed(facts: SessionFacts) -> Numbers | None:
    """The band or the anchor failed, or a check before the first repetition found it unsound (D4)."""
    return {"what": facts.equipment} if facts.equipment else None


def pain_over_limit(facts: SessionFacts) -> Numbers | None:
    """Pain above the limit: at the limit the exercise goes on, above it stops (C6)."""
    limit = facts.limits["pain_max"]
    if facts.pain is None or facts.pain <= limit:
        return None
    return {"pain": facts.pain, "limit": round(limit)}


def pain_left_open(facts: SessionFacts) -> Numbers | None:
    """The pain key was pressed, and the session left before all was said: it counts as over the limit (ours)."""
    return {"pain": UNKNOWN_PAIN} if facts.pain_left_open else None


def stopped_by_pain(facts: SessionFacts) -> bool:
    """Whether pain stops the session: over the limit, or of unknown size."""
    return pain_over_limit(facts) is not None or facts.pain_left_open


def pain_stop_again(facts: SessionFacts) -> Numbers | None:
    """A stop for pain that calls for the therapist: a further one within some weeks, or one of severe pain (ours)."""
    if not stopped_by_pain(facts):
        return None
    today, limits = facts.record.started.date(), facts.limits
    pain = None if pain_over_limit(facts) is None else facts.pain  # that of the check-in stopped nothing
    stops = 1 + sum((today - on).days < limits["pain_stop_days"] for on in facts.before.pain_stops)
    severe, again = pain is not None and pain >= limits["pain_review"], stops >= limits["pain_stops_max"]
    if not severe and not again:
        return None
    why = "pain_severe_again" if severe and again else "pain_severe" if severe else "pain_again"
    return {"pain": UNKNOWN_PAIN if pain is None else pain, "stops": stops, "why": why}


def not_settled(facts: SessionFacts) -> Numbers | None:
    """The pain of the last session has not settled yet, as the client answers (C6)."""
    if facts.settled != "not_yet":
        return None
    return {"pain": facts.pain_now if facts.pain_now is not None else UNKNOWN_PAIN}


def pain_above_usual(facts: SessionFacts) -> Numbers | None:
    """Pain at the check-in is above the client's usual level by what lowers the load (C6, C10)."""
    now, usual = facts.pain_now, facts.usual_pain
    return {"pain": now, "usual": usual} if facts.pain_is_high and now is not None and usual is not None else None


def pain_stays_up(facts: SessionFacts) -> Numbers | None:
    """Pain was above the usual level at so many check-ins in a row that the therapist looks (ours)."""
    times = facts.before.high_check_ins + 1
    if not facts.pain_is_high or times < facts.limits["pain_high_check_ins"]:
        return None
    return {"times": times}


def event_in_gap(facts: SessionFacts) -> Numbers | None:
    """The reason of a long gap is one that the therapist must know before the client goes on (ours)."""
    reason = facts.gap_reason
    return None if reason is None or reason == "nothing" or facts.seen_since else {"what": reason}


def gap_to_measure(facts: SessionFacts) -> Numbers | None:
    """So long a gap that strength and range are measured again first (ours)."""
    days, limit = facts.days_away, facts.limits["gap_measure_days"]
    return {"days": days, "limit": round(limit)} if days > limit and not facts.seen_since else None


def pain_rising(facts: SessionFacts) -> Numbers | None:
    """This week's mean pain at check-ins exceeds last week's by enough to tell the therapist (C10)."""
    return _risen_by(facts, facts.limits["pain_rise_tell"])


def pain_rising_fast(facts: SessionFacts) -> Numbers | None:
    """This week's mean pain at check-ins exceeds last week's by enough to lower the load (C10)."""
    return _risen_by(facts, facts.limits["pain_rise_regress"])


def _risen_by(facts: SessionFacts, limit: float) -> Numbers | None:
    """The seven days to today against the seven before, each with at least `pain_check_ins` answers."""
    means = facts.weekly_pain
    if means is None or round(means[0] - means[1], _DIGITS) < limit:
        return None
    return {"this_week": round(means[0], 1), "last_week": round(means[1], 1)}


def long_gap(facts: SessionFacts) -> Numbers | None:
    """More than `long_gap_days` days since the last session (ours)."""
    days, limit = facts.days_away, facts.limits["long_gap_days"]
    return {"days": days, "limit": round(limit)} if days > limit else None


def twelve_weeks(facts: SessionFacts) -> Numbers | None:
    """At least `review_weeks` weeks since the first session or since the therapist last ended a review (C5)."""
    began, looked = facts.before.first_session, facts.before.looked_at
    if began is None:
        return None
    days = facts.days_since(max(began, looked) if looked else began)
    limit = facts.limits["review_weeks"]
    return {"weeks": days // 7, "limit": round(limit)} if days >= limit * 7 else None
