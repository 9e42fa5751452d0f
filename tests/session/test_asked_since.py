"""A question that joins an exercise is taught and asked about soon, and holds nobody who was in a programme."""

from collections import Counter
from datetime import timedelta
from functools import cache

import pytest
from msgspec.structs import replace

from coach.model import step_names
from coach.model.answers_file import Answers
from coach.model.content import Content
from coach.model.record import Ended, OwnTempo, Record
from coach.progression.counterfactuals import counterfactuals
from coach.progression.rule_book import RuleBook
from coach.progression.state_machine import JudgedRecord, advance, replay
from coach.session.plan import Plan, open_record, script_of
from coach.session.rehearsal import rehearse
from tests.clocks import START
from tests.plans import plan_of, shipped
from tests.progression.records import book, session, standing
from tests.session.test_presses import ALWAYS, presses
from tests.session.test_teaching import PLACES, at_first
from tests.session.timing import RIGHT_S

CLIENTS = ("tern", "avocet")  # external and internal rotation
LATER = {"tern": ("trunk", "shrug"), "avocet": ("shrug",)}
Session = tuple[Plan, JudgedRecord]


def without_later() -> Content:
    """The content of the time before: nothing that comes later had joined."""
    content = shipped()
    exercises = {
        name: one.model_copy(
            update={
                "positions": tuple(
                    at.model_copy(
                        update={
                            "questions": tuple(each for each in at.questions if each not in at.later),
                            "later": (),
                        }
                    )
                    for at in one.positions
                )
            }
        )
        for name, one in content.exercises.items()
    }
    return replace(content, exercises=exercises)


THEN = RuleBook(without_later())


def lived(plan: Plan, count: int, answers: Answers | None = None, first_day: int = 0) -> list[Session]:
    """Clean sessions every second day, each on what the one before decided, always with the same load step.

    `answers` are those of the first of them.
    """
    found: list[Session] = []
    for number in range(count):
        clean = Answers(trial_s=RIGHT_S)
        record, _ = rehearse(
            plan, clean if number else answers or clean, START + timedelta(days=first_day + 2 * number)
        )
        found.append((plan, advance(plan.before, record, plan.book)))
        plan = replace(plan, before=found[-1][1].after)
    return found


@cache
def upgraded(name: str, sessions: int) -> Plan:
    """The plan of today of a client who was shown all there was, and had so many sessions since the last trial."""
    plan, exercise = plan_of(name), plan_of(name).prescription.exercise
    position = THEN.content.exercise(exercise).position("0")
    taught = tuple(THEN.content.questions[one].fault for one in position.questions)
    asked = {"form_asked": dict.fromkeys(position.questions, 1), "trial_ago": 0}
    update = {"taught": {exercise: taught}, **asked, "first_session": START - timedelta(days=60)}
    then = replace(plan, content=THEN.content, book=THEN, position=position)
    then = replace(then, before=plan.before.model_copy(update=update))
    return replace(plan, before=lived(then, sessions)[-1][1].after)


def rest(plan: Plan) -> Counter[str]:
    """The presses of a session that the design counts."""
    return Counter({what: count for what, count in presses(plan).items() if what not in ALWAYS})


def rules(sessions: list[Session]) -> list[str]:
    return [judged.decision.rule for _, judged in sessions]


def asked(plan: Plan) -> set[str]:
    return {name for names in plan.form_of_sets for name in names}


@pytest.mark.parametrize("sessions", [1, 2, 3, 4])  # up to the one in which the own tempo is timed again
@pytest.mark.parametrize("name", CLIENTS)
def test_it_enters_one_by_one_within_the_presses_of_a_session_and_nothing_is_held_for_it(
    name: str, sessions: int
) -> None:
    course = lived(upgraded(name, sessions), 8, first_day=2 * sessions)
    assert max(rest(plan).total() for plan, _ in course) <= 16
    assert max(rest(plan)["lessons"] for plan, _ in course) == 1
    shown = [(number, one.name) for number, (plan, _) in enumerate(course) for one in plan.lessons]
    assert tuple(name for _, name in shown) == LATER[name]
    assert [number for number, _ in shown if number > 4] == []
    for number, question in shown:
        assert question in asked(course[number][0])
    assert "not_all_asked" not in rules(course)


@pytest.mark.parametrize("number", range(len(PLACES)), ids=[f"{name}-{one.name}" for name, one in PLACES])
def test_a_newcomer_is_taught_everything_within_the_presses_of_a_session(number: int) -> None:
    """A page to warm up, which an exercise may have, is one press more."""
    first = at_first(*PLACES[number])
    course = lived(first, 8)
    warm_up = any(step.name == step_names.WARM_UP for step in script_of(first, open_record(first, START)).steps)
    counted = [rest(plan).total() - rest(plan)["own activities"] - warm_up for plan, _ in course]
    assert counted[0] <= 15
    assert max(counted) <= 16
    assert [one.name for plan, _ in course for one in plan.lessons] == [*first.position.questions]
    assert rules(course).count("not_all_asked") <= 3


@pytest.mark.parametrize("given", [Answers(answer={"set_2.elbow": "once"}), Answers(trial_s=RIGHT_S / 2)])
def test_what_went_wrong_is_shown_first_and_takes_the_place_of_a_question(given: Answers) -> None:
    course = lived(upgraded("tern", 3), 4, given)  # in the first of them the own tempo is timed
    assert [one.name for one in course[1][0].lessons] == ["tempo" if given.trial_s == RIGHT_S / 2 else "elbow"]
    assert max(rest(plan).total() for plan, _ in course) <= 16


def test_it_is_shown_again_only_where_the_questions_that_are_due_leave_a_place() -> None:
    plan = lived(upgraded("tern", 4), 3)[-1][0]
    faulty = {"newest_fault": "elbow_drifted", "clean_sets": 1, "trial_ago": 0}
    asked_before = dict.fromkeys(plan.position.questions, 1)
    due = plan.before.model_copy(update={**faulty, "form_asked": asked_before})
    assert replace(plan, before=due).lessons == ()
    fewer = due.model_copy(update={"form_asked": {**asked_before, **SEEN}})
    assert [one.name for one in replace(plan, before=fewer).lessons] == ["elbow"]


@pytest.mark.parametrize(("sets", "held"), [(1, 3), (2, 3)])
def test_a_newcomer_with_few_sets_learns_as_fast(sets: int, held: int) -> None:
    """A row, with four questions that take turns."""
    first = at_first(*PLACES[-1])
    few = first.prescription.dose.model_copy(update={"sets": sets})
    course = lived(replace(first, prescription=first.prescription.model_copy(update={"dose": few})), 6)
    assert [one.name for plan, _ in course for one in plan.lessons] == [*first.position.questions]
    assert rules(course).count("not_all_asked") == held


def test_where_there_are_so_many_questions_that_there_is_never_room_another_is_shown_all_the_same() -> None:
    plan = lived(upgraded("tern", 4), 4)[-1][0]
    many = {"questions": (*plan.position.questions, "thumb"), "later": (*plan.position.later, "thumb")}
    lately = {**dict.fromkeys(plan.position.questions, 0), "range": 1, "slack": 1}
    before = plan.before.model_copy(update={"form_asked": lately, "trial_ago": 0})
    full = replace(plan, position=plan.position.model_copy(update=many), before=before)
    assert [one.name for one in full.lessons] == ["thumb"]


@pytest.mark.parametrize(
    "off",
    [
        {"newest_fault": "thumb_turned", "clean_sets": 1},
        {"trial": OwnTempo(at=START, repetitions=5, took_s=10, right_s=RIGHT_S)},
    ],
)
def test_what_went_wrong_and_is_not_asked_about_here_keeps_nothing_from_being_shown(off: dict[str, object]) -> None:
    """As in a position of a clinic's own, which asks neither about the thumb nor about the tempo."""
    plan = lived(upgraded("tern", 4), 4)[-1][0]
    here = tuple(one for one in plan.position.questions if one != "tempo")
    position = plan.position.model_copy(update={"questions": (*here, "straight"), "later": ("straight",)})
    before = plan.before.model_copy(update={"form_asked": dict.fromkeys(here, 0), "trial_ago": 0, **off})
    assert [one.name for one in replace(plan, position=position, before=before).lessons] == ["straight"]


def test_the_own_tempo_waits_for_questions_that_are_due_no_longer_than_the_interval_again() -> None:
    plan = lived(upgraded("tern", 4), 3)[-1][0]
    due = plan.before.model_copy(update={"form_asked": dict.fromkeys(plan.position.questions, 1), "trial_ago": 3})
    assert not replace(plan, before=due).trial_due
    assert replace(plan, before=due.model_copy(update={"trial_ago": 6})).trial_due
    assert replace(plan, before=due.model_copy(update={"form_asked": {**due.form_asked, **SEEN}})).trial_due


SEEN = dict.fromkeys(("range", "slack", "trunk"), 0)


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


def test_once_shown_it_holds_like_any_other() -> None:
    record, judged = ready()
    shown = {"external_rotation": ("trunk_turned",)}
    held = advance(
        judged.before.model_copy(update={"taught": shown}),
        record.model_copy(update={"entry": record.entry[:-1]}),
        book(),
    )
    assert held.decision.rule == "not_all_asked"


def test_an_older_closed_record_is_clean_without_what_it_could_not_ask() -> None:
    made = session(given={"trunk": None, "shrug": None})
    assert not made.form
    before = standing(clean_sets=4)
    decision = advance(before, made, THEN).decision
    record = made.with_entry(Ended(at=made.last_at, how="finished", decision=decision))
    after = replay(before, record, book()).after
    assert after.clean_sets == 7
    assert "trunk_turned" not in after.taught["external_rotation"]
