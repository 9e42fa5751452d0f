"""Applies a decision to the progress of an exercise, and of the others of its programme; updates the streaks."""

from collections.abc import Sequence
from datetime import date, timedelta

from coach.model import step_names
from coach.model.programme.session_file import closes_every_exercise
from coach.model.progress import PainOn, Progress, Rating
from coach.model.record import Decision, Record
from coach.progression.band_use import used_since
from coach.progression.check_in_conditions import pain_rising_fast, stopped_by_pain
from coach.progression.facts import SessionFacts
from coach.progression.rule_book import RuleBook
from coach.progression.usual_pain import renewed

_TWO_WEEKS = 14  # two weekly means need this week and the last


def progress_at_record(before: Progress, record: Record) -> Progress:
    """The progress to judge a record against that belongs to another position or exercise: streaks start at zero."""
    return before.model_copy(
        update={
            "exercise": record.exercise,
            "position": record.position,
            "load": record.rungs.step,
            "ready_sessions": 0,
            "under_sessions": 0,
            "clean_sets": 0,
            "newest_fault": None,
            "form_asked": {},
            "pace_sets": 0,
            "fell_from_nm": None,
            "falls": 0,
        }
    )


def apply_decision(before: Progress, facts: SessionFacts, decision: Decision, book: RuleBook) -> Progress:
    """The progress after a session and its decision.

    Pain, dates and ratings are updated from every record; load, repetitions and streaks only where the record
    belongs to the client's current exercise and position.
    """
    here = facts.record.exercise_position == before.exercise_position
    return before.model_copy(
        update={
            **_history(before, facts, decision, book),
            **(_load_and_streaks(before, facts, decision, book) if here else {}),
            "status": decision.status,
            "decision": decision,
            "tell": {**before.tell, **decision.tell},
        }
    )


def apply_other_exercise(before: Progress, facts: SessionFacts, decision: Decision, book: RuleBook) -> Progress:
    """The progress of an exercise after another exercise of the same programme was done.

    The check-in, stops for pain and the use of bands belong to the client.
    """
    closes = closes_every_exercise(facts.record, decision)
    same = facts.record.exercise == before.exercise
    return before.model_copy(
        update={
            **_of_client(before, facts, decision, book),
            **({"taught": _taught(before, facts, book)} if same else {}),
            "status": "review" if closes else before.status,
            "decision": decision if closes else before.decision,
            "tell": {**before.tell, **decision.tell} if closes else before.tell,
        }
    )


def _history(before: Progress, facts: SessionFacts, decision: Decision, book: RuleBook) -> dict[str, object]:
    """The updated fields on days, pain and ratings."""
    started, trained = facts.record.started, facts.trained
    return {
        **_of_client(before, facts, decision, book),
        "sessions": before.sessions + trained,
        "first_session": before.first_session or (started if trained else None),
        "last_session": started if trained else before.last_session,
        "taught": _taught(before, facts, book),
        "trial": facts.trial,
        "trial_ago": 0 if facts.record.own_tempo is not None else before.trial_ago + trained,
    }


def _of_client(before: Progress, facts: SessionFacts, decision: Decision, book: RuleBook) -> dict[str, object]:
    """The updated fields that belong to the client, whichever exercise was done."""
    today, limits = facts.record.started.date(), facts.limits
    stops = [on for on in before.pain_stops if (today - on).days < limits["pain_stop_days"]]
    if _stopped_by_pain(facts, decision) and not _counted_before(facts, stops):
        stops.append(today)
    return {
        **({} if facts.record.checked_in_before else _check_in(before, facts, decision, book)),
        "worst_pain": _worst_pain(before, facts) if facts.trained else before.worst_pain,
        "trained_at": facts.record.started if facts.trained and facts.record.name else before.trained_at,
        "band_use": used_since(before.band_use, facts.record, before.measured_on, limits["elongation_max"]),
        "pain_stops": tuple(stops),
    }


def _stopped_by_pain(facts: SessionFacts, decision: Decision) -> bool:
    """Whether pain stopped it. A pain left open did not in earlier versions, and what a client was told stays."""
    return stopped_by_pain(facts) and (decision.move == "stop" or not facts.pain_left_open)


def _counted_before(facts: SessionFacts, stops: Sequence[date]) -> bool:
    """Whether the stop is that of a check-in asked again, and was counted with an earlier exercise of the session."""
    pain, again = facts.pain_now, facts.record.checked_in_before
    over = pain is not None and pain > facts.limits["pain_max"]
    return again and over and facts.record.started.date() in stops


def _worst_pain(before: Progress, facts: SessionFacts) -> int | None:
    """The worst pain of the session so far, over all of its exercises."""
    if before.trained_at is None or before.trained_at != facts.record.started or before.worst_pain is None:
        return facts.worst
    return max(before.worst_pain, facts.worst or 0)


def _check_in(before: Progress, facts: SessionFacts, decision: Decision, book: RuleBook) -> dict[str, object]:
    """The updated fields that follow from the check-in, which several exercises of one session have in common."""
    today, pain = facts.record.started.date(), facts.pain_now
    past = today - timedelta(days=max(_TWO_WEEKS, round(facts.limits["usual_days"])))
    pains = [one for one in before.pains if one.on > past]
    rule = book.rules_by_name.get(decision.rule)
    if rule is not None and rule.when == pain_rising_fast.__name__ and decision.variable == "load":
        pains = []  # answered with less load: the comparison of weeks starts again
    if pain is not None:
        counts = facts.settled in (None, "hours") and facts.relief is None
        pains.append(PainOn(on=today, pain=pain, settled=counts))
    usual, since = renewed(before, pains, today, facts.limits)
    return {
        "ratings": (*before.ratings, *_rating(facts)),
        "pains": tuple(pains),
        "usual_pain": usual,
        "usual_since": since,
        "high_check_ins": before.high_check_ins + 1 if facts.pain_is_high else 0,
        # Known pain at night is known no longer where it was worse or not alone: then it was a warning sign.
        "night_pain_known_on": None if facts.sign is not None else before.night_pain_known_on,
        "injection_on": today if facts.answers.get(step_names.RELIEF) == "injection" else before.injection_on,
    }


def _taught(before: Progress, facts: SessionFacts, book: RuleBook) -> dict[str, tuple[str, ...]]:
    """The faults shown so far; in older records, which showed none, those that were asked about count as known."""
    record = facts.record
    new = list(record.taught)
    if not record.form:
        asked = [one for done in facts.sets for one in book.asked_in_set(record, done.number)]
        new += [one.question.fault for one in asked if record.answer(one.step) is not None]
    known = dict.fromkeys((*before.taught.get(record.exercise, ()), *new))
    return {**before.taught, record.exercise: tuple(known)} if known else before.taught


def _rating(facts: SessionFacts) -> tuple[Rating, ...]:
    """The mean of the activities, where every one of them was rated (C11); empty otherwise."""
    asked = len(facts.record.activities)
    if not asked:
        return ()
    ratings = [facts.answers.get(step_names.activity(number)) for number in range(1, asked + 1)]
    rated = [answer for answer in ratings if isinstance(answer, int)]
    if len(rated) < asked:
        return ()
    return (Rating(on=facts.record.started.date(), mean=round(sum(rated) / asked, 1)),)


def _load_and_streaks(before: Progress, facts: SessionFacts, decision: Decision, book: RuleBook) -> dict[str, object]:
    """The updated fields on load, repetitions and the streaks at this load."""
    step, trained = facts.step, facts.trained
    unchanged, lowered = decision.load == step, decision.load.mean_nm < step.mean_nm
    counts = trained and not facts.second_today
    ready, under = before.ready_sessions, before.under_sessions
    if counts:
        ready = facts.ready_sessions if facts.ready else 0
        under = under + 1 if facts.under_performed else 0
    if decision.move == "stop" or decision.rule in book.overload_rules:
        ready = 0
    return {
        "load": decision.load,
        "repetitions": decision.repetitions,
        "asked": None,
        "ready_sessions": ready if unchanged else 0,
        "under_sessions": under if unchanged else 0,
        "clean_sets": 0 if decision.move in ("stop", "regress") else facts.clean_sets,
        "newest_fault": facts.newest_fault,
        "pace_sets": facts.pace_sets if unchanged and decision.move in ("hold", "progress") else 0,
        "form_asked": {name: ago for name, ago in facts.form_asked.items() if ago is not None},
        "eased": not trained and (before.eased or lowered),
        **_falls(before, facts, decision, book, lowered),
    }


def _falls(
    before: Progress, facts: SessionFacts, decision: Decision, book: RuleBook, lowered: bool
) -> dict[str, object]:
    """How often a load was too much: counted when it is lowered for that reason, cleared when it is mastered."""
    nm, fell_from_nm = facts.step.mean_nm, before.fell_from_nm
    if lowered and decision.rule in book.overload_rules:
        again = fell_from_nm is not None and nm >= fell_from_nm
        return {"fell_from_nm": fell_from_nm if again else nm, "falls": before.falls + 1 if again else 1}
    mastered = fell_from_nm is not None and nm >= fell_from_nm and facts.ready
    against = decision.move == "regress" or decision.rule in book.overload_rules
    if mastered and not against and facts.ready_sessions >= facts.limits["sessions_in_a_row"]:
        return {"fell_from_nm": None, "falls": 0}
    return {}
