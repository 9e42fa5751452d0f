"""The tests that rules make of the sets done. Each gives the numbers that matched, or None."""

from collections.abc import Mapping

from coach.progression import check_in_conditions as check_in
from coach.progression.check_in_conditions import Condition, Numbers
from coach.progression.facts import Situation


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
    lowest = min(done.repetitions for done in situation.sets if not done.halted)
    return {"sessions": sessions, "lowest": lowest, "bottom": situation.record.dose.repetitions_min}


def no_set_done(situation: Situation) -> Numbers | None:
    """It ended before a set was done, and nothing above stopped it: there is no form to judge (ours)."""
    return None if situation.trained else {}


def unclean(situation: Situation) -> Numbers | None:
    """A fault, an unknown answer or a missing set: unknown is never good (C13)."""
    faults = sum(len(done.faults) for done in situation.sets)
    if not faults and situation.known and situation.sets_missing <= 0:
        return None
    unknown = situation.not_sure + situation.unanswered
    return {"faults": faults, "not_sure": unknown, "missing": max(situation.sets_missing, 0)}


def check_not_met(situation: Situation) -> Numbers | None:
    """A check stayed a no after mending, and it went on: the load was not the one computed (C13)."""
    return {"what": situation.unmet} if situation.unmet else None


def other_band(situation: Situation) -> Numbers | None:
    """Another band stood in, with no more torque: it says nothing about the load of the programme (ours)."""
    if not situation.record.other_band:
        return None
    return {"grade": situation.record.rungs_now.step.grade}


def second_today(situation: Situation) -> Numbers | None:
    """A session was done earlier on this day: days of training do not follow each other (C4)."""
    return {"goal": situation.goal} if situation.second_today else None


def _would_go_on(situation: Situation) -> bool:
    return situation.may_go_on and situation.leads_on


def familiarisation(situation: Situation) -> Numbers | None:
    """A heavier load, or the next position, would come, and the first weeks are not over (C4)."""
    first = situation.before.first_session
    day = situation.days_since(first) if first else 0
    limit = situation.limits["familiarisation_days"]
    return {"day": day + 1, "limit": round(limit)} if day < limit and _would_go_on(situation) else None


def repetitions_up(situation: Situation) -> Numbers | None:
    """Every set clean at the goal, and the goal below the top of the range (C3)."""
    top = situation.record.dose.repetitions_max
    if not situation.all_clean or situation.goal >= top:
        return None
    return {"goal": situation.goal, "top": top}


def load_frozen(situation: Situation) -> Numbers | None:
    """More load, or the next position, would come, and the therapist has frozen the load."""
    if not situation.frozen or not _would_go_on(situation):
        return None
    until = situation.before.frozen_until
    return {"until": until.isoformat() if until else "until_lifted"}


def position_ready(situation: Situation) -> Numbers | None:
    """What a heavier load asks for, at the target of the position, with a further position in the goal (C12)."""
    following = situation.next_position_deg
    if not situation.may_go_on or not situation.at_target or following is None or situation.capped:
        return None
    return {"sessions": situation.ready_sessions, "next": following}


def programme_complete(situation: Situation) -> Numbers | None:
    """The same in the last position of the goal."""
    if not situation.may_go_on or not situation.at_target or not situation.last_position:
        return None
    return {"sessions": situation.ready_sessions}


def load_up(situation: Situation) -> Numbers | None:
    """Every set clean at the top with two more left, so many sessions in a row, below the target (C1, C2)."""
    if not situation.may_go_on or situation.at_target or situation.record.rungs.next_step is None:
        return None
    return {"sessions": situation.ready_sessions, "top": situation.record.dose.repetitions_max}


def otherwise(situation: Situation) -> Numbers | None:
    """Nothing else matched: name what is missing for the next step."""
    more = max(situation.sessions_wanted - situation.ready_sessions, 0)
    top = situation.record.dose.repetitions_max
    return {"missing": _missing(situation, more), "goal": situation.goal, "top": top, "more": more}


def _missing(situation: Situation, more: int) -> str:
    """The first thing still missing, by its name in the words of the rules."""
    if not situation.all_clean:
        return "repetitions"
    if not situation.two_more:
        return "two_more"
    if not situation.leads_on:
        return "capped" if situation.at_target and situation.capped else "heavier_step"
    return "second_session" if more == 1 else "more_sessions"


CONDITIONS: Mapping[str, Condition] = {
    condition.__name__: condition
    for condition in (
        check_in.warning_sign,
        check_in.after_repair,
        check_in.equipment_failed,
        check_in.pain_over_limit,
        check_in.not_settled,
        check_in.pain_rising,
        check_in.pain_rising_fast,
        check_in.long_gap,
        check_in.twelve_weeks,
        band_too_heavy,
        under_performed,
        no_set_done,
        check_not_met,
        unclean,
        other_band,
        second_today,
        familiarisation,
        repetitions_up,
        load_frozen,
        position_ready,
        programme_complete,
        load_up,
        otherwise,
    )
}

# The tests that look at nothing but one set and its answers: only their rules can be tried after each set.
OF_A_SET = frozenset({"warning_sign", "equipment_failed", "pain_over_limit", "band_too_heavy"})
