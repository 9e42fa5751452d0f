"""A decision put into effect, and the streaks counted on."""

from datetime import timedelta

from coach.model import step_names
from coach.model.progress import PainOn, Progress, Rating
from coach.model.record import Decision, Record
from coach.progression.check_in_conditions import pain_rising_fast
from coach.progression.facts import Situation
from coach.progression.rule_book import RuleBook

_PAINS_KEPT = timedelta(days=14)  # this week and the last: what two weekly means need


def elsewhere(before: Progress, record: Record) -> Progress:
    """Where the client stood, for a record from another position or exercise than now: no streak counts."""
    return before.model_copy(
        update={
            "exercise": record.exercise,
            "position_deg": record.position_deg,
            "load": record.rungs.step,
            "ready_sessions": 0,
            "under_sessions": 0,
            "clean_sets": 0,
            "newest_fault": None,
            "fell_from_nm": None,
            "falls": 0,
        }
    )


def after(before: Progress, situation: Situation, decision: Decision, book: RuleBook) -> Progress:
    """Where the client stands after a session and its decision."""
    here = situation.record.place == before.place
    return before.model_copy(
        update={
            **_said(before, situation, decision, book),
            **(_moved(before, situation, decision, book) if here else {}),
            "status": decision.status,
            "decision": decision,
            "tell": {**before.tell, **decision.tell},
        }
    )


def _said(before: Progress, situation: Situation, decision: Decision, book: RuleBook) -> dict[str, object]:
    """What happened on which day, and how much it hurt."""
    started, pain, trained = situation.record.started, situation.pain_now, situation.trained
    kept = [one for one in before.pains if one.on > started.date() - _PAINS_KEPT]
    if book.named[decision.rule].when == pain_rising_fast.__name__ and decision.variable == "load":
        kept = []  # answered with less load: the weeks are compared anew
    return {
        "sessions": before.sessions + trained,
        "first_session": before.first_session or (started if trained else None),
        "last_session": started if trained else before.last_session,
        "pain_before_last": pain if trained and pain is not None else before.pain_before_last,
        "ratings": (*before.ratings, *_rating(situation)),
        "pains": (*kept, *(() if pain is None else (PainOn(on=started.date(), pain=pain),))),
    }


def _rating(situation: Situation) -> tuple[Rating, ...]:
    """The mean of the activities, where every one of them was rated (C11)."""
    asked = len(situation.record.activities)
    given = [situation.answers.get(step_names.activity(number)) for number in range(1, asked + 1)]
    rated = [answer for answer in given if isinstance(answer, int)]
    if not asked or len(rated) < asked:
        return ()
    return (Rating(on=situation.record.started.date(), mean=round(sum(rated) / asked, 1)),)


def _moved(before: Progress, situation: Situation, decision: Decision, book: RuleBook) -> dict[str, object]:
    """The load and the repetitions to come, and the streaks at this load."""
    step, trained = situation.step, situation.trained
    unchanged, lowered = decision.load == step, decision.load.mean_nm < step.mean_nm
    counts = trained and not situation.second_today
    ready, under = before.ready_sessions, before.under_sessions
    if counts:
        ready = situation.ready_sessions if situation.ready else 0
        under = under + 1 if situation.under_performed else 0
    if decision.move == "stop" or decision.rule in book.too_much:
        ready = 0
    return {
        "load": decision.load,
        "repetitions": decision.repetitions,
        "asked": None,
        "ready_sessions": ready if unchanged else 0,
        "under_sessions": under if unchanged else 0,
        "clean_sets": 0 if decision.move in ("stop", "regress") else situation.clean_sets,
        "newest_fault": situation.newest_fault,
        "eased": not trained and (before.eased or lowered),
        **_falls(before, situation, decision, book, lowered),
    }


def _falls(
    before: Progress, situation: Situation, decision: Decision, book: RuleBook, lowered: bool
) -> dict[str, object]:
    """How often a load was too much: counted when it goes down for that, forgotten when it is mastered."""
    nm, fell_from_nm = situation.step.mean_nm, before.fell_from_nm
    if lowered and decision.rule in book.too_much:
        again = fell_from_nm is not None and nm >= fell_from_nm
        return {"fell_from_nm": fell_from_nm if again else nm, "falls": before.falls + 1 if again else 1}
    mastered = situation.ready and fell_from_nm is not None and nm >= fell_from_nm
    against = decision.move == "regress" or decision.rule in book.too_much
    if mastered and not against and situation.ready_sessions >= situation.limits["sessions_in_a_row"]:
        return {"fell_from_nm": None, "falls": 0}
    return {}
