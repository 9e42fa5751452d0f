"""Rule conditions on the sets done, and the table of all conditions by name.

Each takes the facts and returns the numbers for the rule's message, or None where it does not match.
"""

from collections.abc import Mapping

from coach.progression import check_in_conditions as check_in
from coach.progression.check_in_conditions import Condition, Numbers
from coach.progression.facts import SessionFacts
from coach.progression.pain_reports import pain_in_sets

_SECOND = 2  # with as many sessions wanted, the one that is missing is the second


def band_too_heavy(facts: SessionFacts) -> Numbers | None:
    """End range lost, or the shoulder blade moved instead, more than once in a set (P4, P5)."""
    for done in facts.sets:
        if done.too_heavy:
            return {"set": done.number, "fault": done.too_heavy}
    return None


def under_performed(facts: SessionFacts) -> Numbers | None:
    """A set below the bottom of the range, for so many sessions in a row (C4)."""
    sessions = facts.before.under_sessions + 1
    if not facts.under_performed or sessions < facts.limits["under_sessions"]:
        return None
    lowest = min(done.repetitions for done in facts.sets if not done.halted)
    return {"sessions": sessions, "lowest": lowest, "bottom": facts.record.dose.repetitions_min}


def no_set_done(facts: SessionFacts) -> Numbers | None:
    """The session ended before any set was done: there is no form to judge (ours)."""
    return None if facts.trained else {}


def unclean(facts: SessionFacts) -> Numbers | None:
    """A fault, an unknown answer or a missing set (C13)."""
    faults = sum(len(done.faults) for done in facts.sets)
    if not faults and facts.known and facts.sets_missing <= 0:
        return None
    unknown = facts.not_sure + facts.unanswered
    return {"faults": faults, "not_sure": unknown, "missing": max(facts.sets_missing, 0)}


def measured_fault(facts: SessionFacts) -> Numbers | None:
    """A sensor measured a fault, and the therapist chose that it holds the load (C13)."""
    return {"measured": facts.measured[0]} if facts.measured else None


def check_not_met(facts: SessionFacts) -> Numbers | None:
    """A setup check was still answered no after one correction, so the load was not the one computed (C13)."""
    return {"what": facts.unmet} if facts.unmet else None


def not_all_asked(facts: SessionFacts) -> Numbers | None:
    """A form question was not asked lately: unasked is unknown (C13)."""
    return {"what": facts.unasked} if facts.unasked is not None else None


def timing_off(facts: SessionFacts) -> Numbers | None:
    """The client's own tempo was off when it was timed last: a fault like any other (C13)."""
    if not facts.timing_off or facts.trial is None:
        return None
    return {"took": round(facts.trial.took_s), "right": round(facts.trial.right_s)}


def other_band(facts: SessionFacts) -> Numbers | None:
    """A substitute band was used; the session says nothing about the planned load (ours)."""
    if not facts.record.other_band:
        return None
    return {"grade": facts.record.current_rungs.step.grade}


def pain_near_limit(facts: SessionFacts) -> Numbers | None:
    """The worst pain of the session was at the limit, or too far above the usual level for a rise (C6; ours)."""
    worst, usual = facts.worst, facts.usual_pain
    if not facts.pain_too_near or worst is None or usual is None:
        return None
    return {"pain": worst, "usual": usual}


def pain_not_said(facts: SessionFacts) -> Numbers | None:
    """A pain or a sign was reported in part, or taken back; or a pain was sharp (ours)."""
    return {} if facts.pain_unknown or facts.sharp else None


def not_clear(facts: SessionFacts) -> Numbers | None:
    """What the therapist asks about where it stopped nothing: such a pain, or an answer taken back (ours)."""
    if facts.sign or check_in.stopped_by_pain(facts):
        return None
    if pain_in_sets(facts.record).unfinished:
        return {"why": "pain_not_clear"}
    if facts.sharp:
        return {"why": "pain_sharp"}
    return {"why": "answer_taken_back"} if facts.pain_unknown else None


def settled_late(facts: SessionFacts) -> Numbers | None:
    """The pain of the last session took until the morning to settle (ours)."""
    return {} if facts.settled == "morning" else None


def pain_masked(facts: SessionFacts) -> Numbers | None:
    """A painkiller or an injection may mask pain (ours)."""
    return {"what": facts.relief} if facts.relief is not None else None


def held_by_condition(facts: SessionFacts) -> Numbers | None:
    """A condition of the client, or a highly irritable shoulder, lets nothing rise on this day (ours)."""
    return {"what": facts.record.held_by} if facts.record.held_by is not None else None


def second_today(facts: SessionFacts) -> Numbers | None:
    """A session was already done on this day (C4)."""
    return {"goal": facts.goal} if facts.second_today else None


def _would_go_on(facts: SessionFacts) -> bool:
    return facts.may_go_on and facts.leads_on


def familiarisation(facts: SessionFacts) -> Numbers | None:
    """A heavier load or the next position is due, but familiarisation is not over (C4)."""
    first = facts.before.first_session
    day = facts.days_since(first) if first else 0
    limit = facts.limits["familiarisation_days"]
    return {"day": day + 1, "limit": round(limit)} if day < limit and _would_go_on(facts) else None


def repetitions_up(facts: SessionFacts) -> Numbers | None:
    """Every set clean at the goal, and the goal below the top of the range (C3)."""
    top = facts.record.dose.repetitions_max
    held = facts.unasked is not None or facts.timing_off or not facts.pain_allows_more
    if not facts.all_clean or held or facts.goal >= top:
        return None
    return {"goal": facts.goal, "top": top}


def load_frozen(facts: SessionFacts) -> Numbers | None:
    """A heavier load or the next position is due, but the therapist has frozen the load."""
    if not facts.frozen or not _would_go_on(facts):
        return None
    until = facts.before.frozen_until
    return {"until": until.isoformat() if until else "until_lifted"}


def another_rises(facts: SessionFacts) -> Numbers | None:
    """A heavier load is due, and in this session that of another exercise rises."""
    return {"exercise": facts.record.rise_taken} if facts.record.rise_taken and load_up(facts) is not None else None


def position_ready(facts: SessionFacts) -> Numbers | None:
    """Ready at the target load of the position, and the goal has a further position (C12)."""
    following = facts.next_position
    if not facts.may_go_on or not facts.at_target or following is None or facts.capped:
        return None
    return {"sessions": facts.ready_sessions, "next": following}


def programme_complete(facts: SessionFacts) -> Numbers | None:
    """Ready at the target load of the goal's last position."""
    if not facts.may_go_on or not facts.at_target or not facts.last_position:
        return None
    return {"sessions": facts.ready_sessions}


def load_up(facts: SessionFacts) -> Numbers | None:
    """Ready for enough sessions in a row below the target, and there is a heavier step (C1, C2)."""
    if not facts.may_go_on or facts.at_target or facts.record.rungs.next_step is None:
        return None
    return {"sessions": facts.ready_sessions, "top": facts.record.dose.repetitions_max}


def otherwise(facts: SessionFacts) -> Numbers | None:
    """Always matches: names what is missing for the next step."""
    more = max(facts.sessions_wanted - facts.ready_sessions, 0)
    top = facts.record.dose.repetitions_max
    return {"missing": _missing(facts, more), "goal": facts.goal, "top": top, "more": more}


def _missing(facts: SessionFacts, more: int) -> str:
    """The name of the first missing condition, as labelled in the messages of the rules."""
    if not facts.all_clean:
        return "repetitions"
    if not facts.two_more:
        return "two_more"
    if not facts.leads_on:
        if facts.at_target and facts.capped:
            return "capped"
        no_next = facts.record.rungs.no_next
        return "heavier_step" if no_next in (None, "top") else f"next_{no_next}"
    if more > 1:
        return "more_sessions"
    return "second_session" if facts.sessions_wanted == _SECOND else "once_more"


CONDITIONS: Mapping[str, Condition] = {
    condition.__name__: condition
    for condition in (
        check_in.warning_sign,
        check_in.after_repair,
        check_in.equipment_failed,
        check_in.pain_over_limit,
        check_in.pain_left_open,
        check_in.pain_stop_again,
        check_in.not_settled,
        check_in.pain_above_usual,
        check_in.pain_stays_up,
        check_in.event_in_gap,
        check_in.gap_to_measure,
        check_in.pain_rising,
        check_in.pain_rising_fast,
        check_in.long_gap,
        check_in.twelve_weeks,
        band_too_heavy,
        under_performed,
        no_set_done,
        measured_fault,
        check_not_met,
        unclean,
        not_all_asked,
        timing_off,
        other_band,
        pain_near_limit,
        pain_not_said,
        not_clear,
        settled_late,
        pain_masked,
        held_by_condition,
        second_today,
        familiarisation,
        repetitions_up,
        load_frozen,
        position_ready,
        programme_complete,
        another_rises,
        load_up,
        otherwise,
    )
}

# The conditions that depend only on one set and its answers: only their rules can be tried after each set.
SET_CONDITIONS = frozenset({"warning_sign", "equipment_failed", "pain_over_limit", "band_too_heavy"})
