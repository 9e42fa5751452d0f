"""A question that joins an exercise is taught and asked about at once, and holds nobody who was in a programme."""

from dataclasses import replace
from datetime import timedelta

import pytest

from coach.model.answers_file import Answers
from coach.model.record import Ended, Record
from coach.progression.counterfactuals import counterfactuals
from coach.progression.rule_book import RuleBook
from coach.progression.state_machine import JudgedRecord, advance, replay
from coach.session.plan import Plan
from coach.session.rehearsal import rehearse
from tests.clocks import START
from tests.demo.histories import JOINED_LATER, content_then
from tests.plans import plan_of, shipped
from tests.progression.records import book, session, standing
from tests.session.test_presses import ALWAYS, presses
from tests.session.timing import RIGHT_S

THEN = RuleBook(content_then())
CLIENTS = ("tern", "avocet")  # external and internal rotation


def joined(plan: Plan) -> tuple[str, ...]:
    return JOINED_LATER[plan.prescription.exercise]


def then(name: str) -> Plan:
    """A client of the time before, who was shown everything that there was and is about to be timed."""
    plan, exercise = plan_of(name), plan_of(name).prescription.exercise
    position = THEN.content.exercise(exercise).position("0")
    taught = tuple(THEN.content.questions[one].fault for one in position.questions)
    update = {"taught": {exercise: taught}, "form_asked": dict.fromkeys(position.questions, 0), "trial_ago": 3}
    before = plan.before.model_copy(update={**update, "first_session": START - timedelta(days=60)})
    return replace(plan, content=THEN.content, book=THEN, position=position, before=before)


def lived(plan: Plan, days: range) -> tuple[Plan, list[JudgedRecord]]:
    """Clean sessions on these days, each on what the one before decided, always with the same load step."""
    judged: list[JudgedRecord] = []
    for day in days:
        record, _ = rehearse(plan, Answers(trial_s=RIGHT_S), START + timedelta(days=day))
        judged.append(advance(plan.before, record, plan.book))
        plan = replace(plan, before=judged[-1].after)
    return plan, judged


def upgraded(name: str, sessions: int) -> Plan:
    """The plan of today of a client after so many sessions without these questions."""
    before = lived(then(name), range(0, 2 * sessions, 2))[0].before
    return replace(plan_of(name), before=before)


@pytest.mark.parametrize("sessions", [1, 2, 3, 4])  # so many after which the own tempo is timed again
@pytest.mark.parametrize("name", CLIENTS)
def test_it_is_taught_and_asked_in_the_next_session_and_nothing_is_held_for_it(name: str, sessions: int) -> None:
    plan = upgraded(name, sessions)
    _, judged = lived(plan, range(30, 44, 2))
    assert set(joined(plan)) <= {question for asked in plan.form_of_sets for question in asked}
    assert [one.name for one in plan.lessons] == [*joined(plan)]
    assert "not_all_asked" not in [one.decision.rule for one in judged]
    counted = presses(plan)
    assert sum(count for what, count in counted.items() if what not in ("lessons", *ALWAYS)) <= 16
    assert counted["lessons"] == len(joined(plan))


@pytest.mark.parametrize("name", CLIENTS)
def test_who_was_never_timed_is_held_for_one_session_at_most(name: str) -> None:
    plan = replace(plan_of(name), before=then(name).before)
    rules = [one.decision.rule for one in lived(plan, range(0, 14, 2))[1]]
    assert rules.count("not_all_asked") <= 1
    assert rules[1] != "not_all_asked"


def test_the_own_tempo_waits_for_a_question_no_longer_than_the_interval_again() -> None:
    plan = upgraded("tern", 4)
    assert plan.before.trial_ago == 3
    assert not plan.trial_due
    assert replace(plan, before=plan.before.model_copy(update={"trial_ago": 6})).trial_due


def ready(ready_sessions: int = 0) -> tuple[Record, JudgedRecord]:
    """A session at the top of the range, in which what joined later was not asked, closed with what was told."""
    form = (("blade", "elbow", "range"), ("blade", "elbow", "slack"), ("blade", "elbow", "tempo"))
    given = {f"set_{number}.{name}": "never" for number, names in enumerate(form, start=1) for name in names}
    every = {f"set_{number}.{name}": None for number in (1, 2, 3) for name in shipped().questions}
    made = session(goal=15, given={**every, **given}).model_copy(update={"form": form})
    before = standing(repetitions=15, ready_sessions=ready_sessions)
    decision = advance(before, made, THEN).decision
    record = made.with_entry(Ended(at=made.last_at, how="finished", decision=decision))
    return record, replay(before, record, book())


def test_a_session_that_counted_for_a_rise_still_counts() -> None:
    record, judged = ready()
    assert record.ended is not None
    assert record.ended.decision.rule == "otherwise"
    assert judged.after.ready_sessions == 1
    assert not set(judged.after.form_asked) & {"trunk", "shrug"}


def test_what_would_have_changed_an_earlier_decision_is_told_by_the_questions_of_its_day() -> None:
    _, judged = ready()
    assert [(one.change, one.decision.rule) for one in counterfactuals(judged, book())] == [
        ("more_sessions", "load_up")
    ]


def test_an_older_closed_record_is_clean_without_what_it_could_not_ask() -> None:
    made = session(given={"trunk": None, "shrug": None})
    assert not made.form
    before = standing(clean_sets=4)
    decision = advance(before, made, THEN).decision
    record = made.with_entry(Ended(at=made.last_at, how="finished", decision=decision))
    after = replay(before, record, book()).after
    assert after.clean_sets == 7
    assert "trunk_turned" not in after.taught["external_rotation"]
