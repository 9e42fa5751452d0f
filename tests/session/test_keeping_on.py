"""Keeping on: what was done comes first, then what it is for, then the next day by name; the client's own plan."""

from datetime import date, datetime, timedelta
from itertools import islice
from pathlib import Path

import icalendar
import pytest
from msgspec.structs import replace
from textual.widgets import Static

from coach.commands.session import keep_own_plan
from coach.commands.support.ask_plan import ask_plan
from coach.model.answers_file import Answers
from coach.model.profile import TrainingPlan, TrainingPlanFile
from coach.model.programme.due_days import DueDays
from coach.overview.coming_days import coming_days
from coach.reports.tables.session_calendar import session_calendar
from coach.screens.client.key_bindings import KEEP_PLAN, PLAN, QUIT, WHY, KeyBinding, active_bindings, binding_for
from coach.screens.client.page_types import TextPage
from coach.screens.client.pages import page_at
from coach.screens.client.session_app import SessionApp
from coach.screens.client.setup_context import setup_context
from coach.screens.plain.plain_session import PlainSession
from coach.session.plan import Plan
from coach.session.rehearsal import first_state, rehearsed_states
from coach.session.state import Instant, State
from coach.store.client_store import ClientStore
from coach.store.live_session import open_session
from coach.store.plan_file import read_plan, write_plan
from coach.store.therapist.check_client import check_profile
from tests.clocks import START, FakeClock
from tests.journeys.walk import session_app
from tests.plans import plan_of, shipped
from tests.screens.plain.output_lines import Typist

RULES = shipped().messages.rules.rule
OWN = TrainingPlan(
    days=("tuesday", "friday"), at="18:30", when="after work", where="in the hall", if_not="the next morning"
)


def ended(plan: Plan, **given: int | str) -> State:
    answers = Answers(answer={name.replace("__", "."): value for name, value in given.items()})
    *_, state = rehearsed_states(first_state(plan, START), answers)
    return state


def page(state: State) -> TextPage:
    shown = page_at(state, setup_context(state.plan, state.record), state.seen_s)
    assert isinstance(shown, TextPage)
    return shown


def test_the_end_says_what_was_done_what_it_is_for_and_the_next_day() -> None:
    """START is a Tuesday."""
    shown = page(ended(replace(plan_of("tern"), training=OWN)))
    assert shown.lead == "You did 3 sets, 24 repetitions in all."
    activity = (*plan_of("tern").prescription.activities, plan_of("tern").prescription.goal)[0]
    assert shown.lines[0] == "Next time: 10 repetitions in each set."
    assert shown.lines[1] == "Next session: Friday, November 27, or later. 3 sessions a week."
    assert shown.strong == shown.lines[:2]
    assert shown.lines[2] == (
        "Your plan: after work. Where: in the hall. If something comes between: the next morning."
    )
    assert shown.lines[3] == f"What it is for: {activity}."
    assert shown.lines[4].startswith("Every set was clean")


def test_after_a_stop_what_to_do_comes_first() -> None:
    shown = page(ended(plan_of("tern"), check_in__sign="numb_or_weak"))
    assert shown.alert.startswith("Stop now.")
    assert shown.lead.startswith("You noticed a warning sign")
    assert not any(line.startswith(("It is for", "Next session")) for line in shown.lines)


def test_rule_and_source_are_behind_a_key() -> None:
    state = ended(plan_of("tern"))
    assert not any(line.startswith("Rule: ") for line in page(state).lines)
    assert WHY in active_bindings(state)
    asked = page(state._replace(why_shown=True))
    assert any(line.startswith(f"Rule: {RULES['repetitions_up'].short}. Source: ") for line in asked.lines)


async def test_the_key_shows_them_on_the_screen(demo_profiles: Path) -> None:
    clock = FakeClock()
    app = session_app(demo_profiles / "tern", clock)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("q", "y")
        assert f"Rule: {RULES['no_set_done'].short}" not in said(app)
        await pilot.press("r")
        assert f"Rule: {RULES['no_set_done'].short}" in said(app)
        await pilot.press("w")
    assert app.plan_answer == "write"


ASK_NEW = "When will you do it next? Press w to write down your days and time, in your own words."
ASK_OLD = "Is that still your plan? Enter keeps it, w changes it."


@pytest.mark.parametrize(
    ("own", "asked", "closes"),
    [
        (None, ASK_NEW, QUIT),
        (OWN, ASK_OLD, KEEP_PLAN),  # the one of the intake: nobody knows when it was said
        (OWN.model_copy(update={"on": START.date() - timedelta(days=28)}), ASK_OLD, KEEP_PLAN),
        (OWN.model_copy(update={"on": START.date() - timedelta(days=27)}), None, QUIT),
    ],
)
def test_the_end_asks_for_a_plan_where_there_is_none_or_it_is_old(
    own: TrainingPlan | None, asked: str | None, closes: KeyBinding
) -> None:
    """28 days are ours. Enter closes the page in each case: no press more."""
    state = ended(replace(plan_of("tern"), training=own))
    lines = page(state).lines
    assert [line for line in lines if line in (ASK_NEW, ASK_OLD)] == ([asked] if asked else [])
    assert binding_for("enter", state) is closes
    assert PLAN in active_bindings(state)


def test_after_a_stop_and_in_a_rehearsal_no_plan_is_asked_for() -> None:
    stopped = ended(plan_of("tern"), set_1__pain=9)
    rehearsed = ended(replace(plan_of("tern"), rehearsal=True))
    for state in (stopped, rehearsed):
        assert not set(page(state).lines) & {ASK_NEW, ASK_OLD}


@pytest.mark.parametrize(("keys", "answer"), [(["w"], "write"), ([""], "keep"), (["r", "x", ""], "keep"), ([], "")])
def test_line_by_line_it_is_asked_as_well(demo_profiles: Path, keys: list[str], answer: str) -> None:
    folder, clock, out = demo_profiles / "tern", FakeClock(), list[str]()
    write_plan(folder, OWN)
    store = ClientStore.read(folder)
    typist = Typist(clock, ["q", "y", *keys])
    session = PlainSession(store.content, open_session(store, clock()), clock, typist, out.append)
    assert session.run()
    assert session.plan_answer == answer
    assert ASK_OLD in out
    assert any(line.startswith("Rule: ") for line in out) is ("r" in keys)
    assert ("x is no key here." in out) is ("x" in keys)


def test_one_key_keeps_it_for_four_weeks(demo_profiles: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = demo_profiles / "tern"
    write_plan(folder, OWN)
    store, today = ClientStore.read(folder), date(2026, 11, 24)
    keep_own_plan(store, write=False, today=today)
    assert capsys.readouterr().out == "Your plan is kept.\n"
    assert read_plan(folder, store.profile) == TrainingPlanFile(**OWN.model_dump(exclude={"on"}), on=today)


def said(app: SessionApp) -> str:
    return " ".join(str(one.content) for one in app.query_one("#body").query(Static))


def test_the_next_session_leaves_a_week_with_as_many_as_prescribed() -> None:
    """START is a Tuesday; the next session was Thursday, the fourth in seven days from Friday on."""
    earlier = (date(2026, 11, 20), date(2026, 11, 22))
    shown = page(ended(replace(plan_of("tern"), trained_on=earlier)))
    assert shown.lines[1] == "Next session: Friday, November 27, or later. 3 sessions a week."


@pytest.mark.parametrize(
    ("days", "a_week", "today", "coming"),
    [
        ((), 3, "2026-11-28", ["2026-11-30", "2026-12-02"]),
        (("saturday",), 3, "2026-11-28", ["2026-12-05", "2026-12-12"]),
        (("monday", "thursday"), 3, "2026-11-26", ["2026-11-30", "2026-12-03"]),
    ],
)
def test_the_next_days_are_the_clients_own(days: tuple[str, ...], a_week: int, today: str, coming: list[str]) -> None:
    plan = TrainingPlan.model_validate({"days": days}) if days else None
    found = islice(coming_days(plan, DueDays(a_week), date.fromisoformat(today)), 2)
    assert [day.isoformat() for day in found] == coming


def typed(*lines: str) -> tuple[list[str], TrainingPlan | None]:
    """The plan from these lines, and what was said on the way."""
    said: list[str] = []
    waiting = iter(lines)

    def ask(question: str) -> str:
        said.append(question)
        try:
            return next(waiting)
        except StopIteration:
            raise EOFError from None

    return said, ask_plan(shipped(), OWN, ask, said.append)


def test_the_plan_is_kept_in_the_clients_words_and_enter_keeps_what_was_said() -> None:
    _, plan = typed("mon, Thu sunday", "7.15", "after breakfast", "", "")
    assert plan == TrainingPlan(
        days=("monday", "thursday", "sunday"),
        at="07:15",
        when="after breakfast",
        where="in the hall",
        if_not="the next morning",
    )


def test_a_word_that_is_no_day_and_a_time_that_is_none_are_asked_again() -> None:
    said, plan = typed("t, fri", "mo fr", "25:00", "half six", "18:00", "", "", "")
    assert "t is no day of the week: write their first letters, such as Mon, Wed, Fri." in said
    assert "25:00 is no time: write it as 18:00." in said
    assert plan is not None
    assert (plan.days, plan.at) == (("monday", "friday"), "18:00")


def test_input_that_ends_changes_nothing_and_escape_bytes_are_left_out() -> None:
    assert typed("mo")[1] is None
    _, plan = typed("", "", "after \x1b[2J tea", "", "")
    assert plan is not None
    assert plan.when == "after [2J tea"


def test_the_file_of_the_plan_replaces_that_of_the_intake(demo_profiles: Path) -> None:
    folder = demo_profiles / "tern"
    store = ClientStore.read(folder, shipped())
    assert read_plan(folder, store.profile) is None
    write_plan(folder, OWN)
    read = read_plan(folder, store.profile)
    assert read is not None
    assert read.model_dump(exclude={"format"}) == OWN.model_dump()
    assert open_session(store, Instant(0.0, START)).plan.training == read
    assert check_profile(folder, shipped()) == ()


def test_a_damaged_plan_costs_no_session_and_is_reported(demo_profiles: Path) -> None:
    folder = demo_profiles / "tern"
    (folder / "plan.toml").write_text('format = 1\ndays = ["mnday"]\n')
    profile = ClientStore.read(folder, shipped()).profile
    assert read_plan(folder, profile.model_copy(update={"plan": OWN})) == OWN
    (fault,) = check_profile(folder, shipped())
    assert (fault.path.name, fault.line) == ("plan.toml", 2)


@pytest.mark.parametrize("plan", [None, OWN, TrainingPlan(days=("monday",))])
def test_the_calendar_holds_four_weeks_and_says_nothing_about_health(plan: TrainingPlan | None) -> None:
    """Read again by the library: RFC 5545."""
    now = datetime.fromisoformat("2026-11-28T12:00:00+01:00")
    written = session_calendar("tern", plan, DueDays(3), 12, shipped(), now)
    events = icalendar.Calendar.from_ical(written).walk("VEVENT")
    days = [event.decoded("dtstart") for event in events]
    assert len(events) == {None: 12, OWN: 8}.get(plan, 4)
    assert str(events[0]["summary"]) == "Band session, about 12 minutes"
    assert "shoulder" not in written.decode().casefold()
    if plan is OWN:
        assert days[0].isoformat() == "2026-12-01T18:30:00"
        assert str(events[0]["location"]) == "in the hall"
    else:
        assert days[0] == date(2026, 11, 30)
    assert len({str(event["uid"]) for event in events}) == len(events)
