"""Nothing changes in silence: less load after the check-in, a second session on a day, the day of the next one."""

import re
from datetime import datetime, timedelta

import pytest
from msgspec.structs import replace

from coach.content_files.content_folder import content_folder, load_content
from coach.model import step_names
from coach.model.progress import Progress
from coach.screens.client.page_types import TextPage
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import setup_context
from coach.session.plan import Plan, open_record, script_of
from coach.session.rehearsal import clean_answer
from coach.session.runner import answer, go_on, leave
from coach.session.script import Show, remaining_script
from coach.session.state import Instant, State
from coach.session.transitions import begin
from tests.clocks import START
from tests.plans import plan_of


def plan(**update: object) -> Plan:
    """Tern's plan after an earlier session without pain, with another state of the programme."""
    before: Progress = plan_of("tern").before.model_copy(
        update={"last_session": START - timedelta(days=3), "usual_pain": 0, **update}
    )
    return replace(plan_of("tern"), before=before)


def started(some_plan: Plan, at: datetime = START) -> State:
    """Its first page."""
    record = open_record(some_plan, at)
    return begin(some_plan, script_of(some_plan, record), record, Instant(0.0, at))


def shown(state: State) -> TextPage:
    """The page of a state that is read or answered."""
    page = page_at(state, setup_context(state.plan, state.record), state.seen_s)
    assert isinstance(page, TextPage)
    return page


def after_check_in(state: State, settled: str) -> State:
    """The first page after the check-in."""
    for _ in range(20):
        question, now = state.question, Instant(1.0, START)
        if question is None and isinstance(state.step, Show) and state.step.name not in ("today", "cautions"):
            return state
        if question is None and state.step.name.endswith("setup_again"):
            return state
        wanted = settled if question is not None and question.name == step_names.SETTLED else None
        if question is None:
            state = go_on(state, now)
        else:
            state = answer(state, clean_answer(question) if wanted is None else wanted, now)
    raise AssertionError(state.step.name)


def heavier() -> Plan:
    """A plan at a step from which there is an easier one."""
    some = plan()
    return replace(some, step=some.ladder.steps[len(some.ladder.steps) // 2])


def test_less_load_after_the_check_in_is_said_with_its_reason() -> None:
    """The first page named one mark and the setup another."""
    first = started(heavier())
    state = after_check_in(first, "not_yet")
    page = shown(state)
    assert page.title == "Less load today"
    before, now = state.record.rungs.step, state.record.current_rungs.step
    assert before != now
    assert f"the {now.distance_cm} cm mark" in page.lead.partition("The first page said")[0]
    assert f"the {before.distance_cm} cm mark" in page.lead.partition("The first page said")[2]
    assert "has not settled yet" in page.lines[-1]
    assert go_on(state, Instant(2.0, START)).step.name == step_names.PLACE


def test_without_a_change_there_is_no_such_page() -> None:
    assert after_check_in(started(heavier()), "hours").step.name == step_names.PLACE


def test_it_is_said_after_an_interruption_too() -> None:
    state = after_check_in(started(heavier()), "not_yet")
    left = remaining_script(script_of(state.plan, state.record), state.record)
    assert begin(state.plan, left, state.record, Instant(5.0, START)).step.name == "set_1.setup_again"


def test_a_second_session_on_a_day_is_told_on_its_first_page() -> None:
    second = plan(last_session=START - timedelta(hours=1))
    assert "second session in one day" in shown(started(second)).alert
    assert shown(started(plan())).alert == ""


@pytest.mark.parametrize(("ago", "asked"), [(timedelta(minutes=2), False), (timedelta(hours=20), True)])
def test_the_morning_after_is_asked_when_there_was_one(ago: timedelta, asked: bool) -> None:
    state = started(plan(last_session=START - ago))
    assert (step_names.SETTLED in [step.name for step in state.script.steps]) is asked


@pytest.mark.parametrize(
    ("on", "days", "says"),
    [
        ("2026-11-28", 3, "Monday, November 30"),
        ("2026-11-24", 3, "Thursday, November 26"),
        ("2026-11-24", 2, "Friday, November 27"),
        ("2026-11-24", 5, "Wednesday, November 25"),
    ],
)
def test_the_next_session_has_a_day(on: str, days: int, says: str) -> None:
    """On a Saturday it once said "on one of your 3 days this week"."""
    some = plan()
    dose = some.prescription.dose.model_copy(update={"days_a_week": days})
    some = replace(some, prescription=some.prescription.model_copy(update={"dose": dose}))
    at = datetime.fromisoformat(f"{on}T18:00:00+01:00")
    page = shown(leave(started(some, at), Instant(5.0, at)))
    assert page.lead == "No set was done today."
    assert page.lines[1] == f"Next session: {says}, or later. {days} sessions a week."


def test_a_turn_of_no_degrees_is_to_face_the_anchor() -> None:
    """At 90 degrees it said "Your turn to the right from there: 0 degrees"."""
    from coach.session.phrases import place_lines

    some = plan(position="90")
    lines = place_lines(some, {"turn": 0})
    assert lines[2] == "Face the anchor."
    assert "{turn}" in place_lines(some, {"turn": 15})[2]


@pytest.mark.parametrize("language", ["en", "de"])
def test_no_message_asks_for_a_wall_that_the_anchor_keeps_away(language: str) -> None:
    """One sentence asked for the back to a wall while the anchor keeps the client elsewhere."""
    folder = content_folder() / language
    read = [path for path in folder.glob("*.toml") if path.stem not in ("therapist", "coach", "conditions")]
    lines = [line for path in read for line in path.read_text("utf-8").splitlines() if not line.startswith("#")]
    assert [line for line in lines if re.search(r"\b(wall|Wand)\b", line)] == []


@pytest.mark.parametrize("language", ["en", "de"])
def test_the_count_in_never_says_the_direction_of_a_turn(language: str) -> None:
    """ "IN 7" was the count-in of a turning exercise whose movement is inward."""
    messages = load_content(content_folder(), language).messages
    words = {messages.client.set.out, *(one.out for one in messages.exercises.values() if one.out)}
    assert messages.client.set.count_in.casefold() not in {"in", "ein", *(word.casefold() for word in words)}
