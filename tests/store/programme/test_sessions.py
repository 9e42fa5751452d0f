"""A session of several exercises: one check-in, one file, one decision for each, and what a stop ends."""

from pathlib import Path

import pytest

from coach.model.answers_file import Answers, ExerciseAnswers
from coach.model.record import Answered
from coach.progression.decision_messages import next_time_told
from coach.screens.client.live_page import live_page
from coach.screens.client.page_types import TextPage
from coach.screens.client.setup_context import SetupCache
from coach.session.next_exercise import finish_day, next_exercise
from coach.session.rehearsal import rehearse_programme
from coach.store.client_store import ClientStore
from coach.store.live_session import open_session
from coach.store.programme.opening import todays_exercises
from tests.store.programme.by_hand import (
    MONDAY,
    Clock,
    content,
    exercise_over,
    in_exercise,
    open_live,
    over,
    play,
    sessions_of,
)

NAMES = ("outward_right", "outward_left", "inward_right", "row_right")


@pytest.fixture
def client(demo_profiles: Path) -> Path:
    """The demo client with a programme of four exercises."""
    return demo_profiles / "curlew"


def test_four_exercises_are_one_session_with_one_check_in(client: Path) -> None:
    before = len(sessions_of(client))
    clock = Clock()
    live = play(open_live(client, clock), clock, over)
    *_, session = sessions_of(client)
    assert len(sessions_of(client)) == before + 1
    assert tuple(one.name for one in session.exercises) == NAMES
    assert set(session.ended) == set(NAMES)
    asked = [one.step for one in session.entry if isinstance(one, Answered)]
    assert asked.count("check_in.pain_now") == 1
    assert not session.is_open
    stores = ClientStore.read(client, content()).exercises
    assert {one.agreement for one in stores} == {"agrees"}
    assert [one.progress.pains[-1].on for one in stores] == [MONDAY.date()] * 4
    assert len({len(one.progress.pains) for one in stores}) == 1
    assert live.state.several


@pytest.mark.parametrize("where", ["set_1.work", "setup.place", "between.rest"])
def test_a_session_that_was_killed_in_the_third_goes_on_there(client: Path, where: str) -> None:
    clock = Clock()
    play(open_live(client, clock), clock, in_exercise(2, where))
    clock.move(120)
    with ClientStore.locked(client, content()) as store:
        opening = open_session(store, clock())
        assert opening.interrupted is not None
        assert (opening.plan.name, [one.name for one in opening.coming]) == ("inward_right", ["row_right"])
    live = open_live(client, clock, resume=True)
    assert live.state.record.name == "inward_right"
    assert not any(step.name == "check_in.pain_now" for step in live.state.script.steps)
    play(live, clock, over)
    *_, session = sessions_of(client)
    assert set(session.ended) == set(NAMES)
    assert {len(one.sessions) for one in ClientStore.read(client, content()).exercises} == {7}


def test_a_session_that_was_killed_between_two_goes_on_with_the_next(client: Path) -> None:
    clock = Clock()
    play(open_live(client, clock), clock, exercise_over(1))
    live = open_live(client, clock, resume=True)
    assert live.state.record.name == "inward_right"
    play(live, clock, over)
    assert set(sessions_of(client)[-1].ended) == set(NAMES)


def test_one_that_is_not_resumed_is_closed_and_the_rest_of_the_day_is_done(client: Path) -> None:
    clock = Clock()
    play(open_live(client, clock), clock, in_exercise(1, "set_1.work"))
    live = open_live(client, clock)
    first, second = sessions_of(client)[-2:]
    assert (set(first.ended), first.is_open) == ({"outward_right", "outward_left"}, False)
    assert tuple(one.name for one in second.exercises) == ("outward_left", "inward_right", "row_right")
    assert live.state.record.name == "outward_left"


def test_a_stop_in_a_set_ends_one_exercise_and_asks_about_the_others(client: Path) -> None:
    clock = Clock()
    live = play(open_live(client, clock), clock, exercise_over(0), Answers(answer={"set_1.pain": 6}))
    ended = live.state.record.ended
    assert ended is not None
    assert (ended.how, live.state.another_follows) == ("stopped", True)
    live.act(next_exercise)
    assert live.state.record.name == "outward_left"


def test_after_a_stop_for_pain_the_client_is_told_to_tell_the_therapist(client: Path) -> None:
    """On the page of the exercise that stopped, and at the end although the exercises after it were done."""
    clock = Clock()
    pain = Answers(exercise={"outward_left": ExerciseAnswers(answer={"set_1.pain": 6})})
    live = play(open_live(client, clock), clock, exercise_over(1), pain)
    messages = content().messages.client
    stopped = live_page(live, SetupCache())
    assert isinstance(stopped, TextPage)
    assert stopped.alert == messages.programme.stopped_pain
    assert messages.programme.go_on in stopped.lines
    play(live, clock, over, pain)
    ended = live_page(live, SetupCache())
    assert isinstance(ended, TextPage)
    assert ended.title == messages.end.title
    assert ended.alert == messages.handout.pain_what_to_do


@pytest.mark.parametrize("pain", [8, 10])
def test_severe_pain_in_a_set_ends_the_day_and_closes_every_exercise(client: Path, pain: int) -> None:
    """The client is told that there is no session until the therapist has looked: there is none of any exercise."""
    clock = Clock()
    live = play(open_live(client, clock), clock, exercise_over(0), Answers(answer={"set_1.pain": pain}))
    ended = live.state.record.ended
    assert ended is not None
    assert "Do not train until your therapist has looked" in ended.decision.reason
    assert not live.state.another_follows
    assert {one.progress.status for one in ClientStore.read(client, content()).exercises} == {"review"}
    page = live_page(live, SetupCache())
    assert isinstance(page, TextPage)
    assert page.alert == content().messages.client.end.call_now
    assert next_time_told(ended.decision, content())
    assert not any(next_time_told(ended.decision, content()) in line for line in (page.lead, *page.listed))


def test_what_is_not_safe_to_pull_on_ends_the_day(client: Path) -> None:
    """No exercise follows with the same band; none is closed, and the next session begins with the check of it."""
    clock = Clock()
    live = play(open_live(client, clock), clock, exercise_over(0), Answers(answer={"check.band_sound": "no"}))
    ended = live.state.record.ended
    assert ended is not None
    assert (ended.how, live.state.another_follows) == ("stopped", False)
    assert "review" not in {one.progress.status for one in ClientStore.read(client, content()).exercises}


def test_a_warning_sign_ends_the_day_and_closes_every_exercise(client: Path) -> None:
    clock = Clock()
    live = play(open_live(client, clock), clock, lambda state: state.over, Answers(answer={"sign": "gave_way"}))
    assert not live.state.another_follows
    assert {one.progress.status for one in ClientStore.read(client, content()).exercises} == {"review"}


def test_pain_over_the_limit_at_the_check_in_ends_the_day(client: Path) -> None:
    clock = Clock()
    live = play(open_live(client, clock), clock, lambda state: state.over, Answers(answer={"pain_now": 9}))
    assert not live.state.another_follows
    assert {len(one.progress.pain_stops) for one in ClientStore.read(client, content()).exercises} == {1}


def test_what_is_left_out_is_missing_for_itself_alone(client: Path) -> None:
    clock = Clock()
    live = play(open_live(client, clock), clock, exercise_over(0))
    live.act(finish_day)
    session = sessions_of(client)[-1]
    assert (set(session.ended), session.is_open, live.state.another_follows) == ({"outward_right"}, False, False)
    assert [len(one.sessions) for one in ClientStore.read(client, content()).exercises] == [7, 6, 6, 6]


def test_at_most_one_load_rises_in_a_session(client: Path) -> None:
    """All four are ready; the one that has waited longest goes first, and the others say why they wait."""
    clean = Answers(answer={"two_more": "yes"})
    rules = []
    for number in range(4):
        clock = Clock(MONDAY.replace(month=12, day=2 + 2 * number))
        play(open_live(client, clock), clock, over, clean)
        decisions = [one.decision for one in sessions_of(client)[-1].ended.values()]
        assert sum(one.raises_load for one in decisions) <= 1
        rules += [one.rule for one in decisions]
    assert {"load_up", "another_rises"} <= set(rules)


def test_the_answers_of_the_check_in_hold_for_each_exercise(client: Path) -> None:
    """Pain above the usual level takes the load down before the first set of each."""
    plans = todays_exercises(ClientStore.read(client, content()), MONDAY).plans
    session = rehearse_programme(plans, Answers(answer={"pain_now": 4, "pain": 4}), MONDAY)
    lowered = {one.exercise for one in session.entry if one.kind == "load"}
    assert lowered == {name for name, plan in zip(NAMES, plans, strict=True) if plan.rungs(plan.step).easier}
    assert lowered


def test_each_exercise_is_done_on_its_days(client: Path) -> None:
    """The row is on Monday, Wednesday, Friday and Saturday."""
    store = ClientStore.read(client, content())
    assert len(todays_exercises(store, MONDAY).plans) == 4
    assert len(todays_exercises(store, MONDAY.replace(month=12, day=1)).plans) == 3


def test_left_and_right_have_their_own_measurements(client: Path) -> None:
    right, left, *_ = ClientStore.read(client, content()).exercises
    assert (right.profile.side, left.profile.side) == ("right", "left")
    assert right.profile.available_deg("0", "external") == 68.0
    assert left.profile.available_deg("0", "external") == 75.0


def test_the_record_is_trusted_while_the_session_goes_on_after_a_stop(client: Path) -> None:
    """An exercise was stopped for pain; the others are done in the same file, and it is resumed."""
    clock = Clock()
    hurts = Answers(answer={"set_1.pain": 6})
    live = play(open_live(client, clock), clock, exercise_over(0), hurts)
    live.act(next_exercise)
    play(live, clock, in_exercise(1, "set_1.work"))
    live = open_live(client, clock, resume=True)
    assert live.state.record.name == "outward_left"
    play(live, clock, over)
    stores = ClientStore.read(client, content()).exercises
    assert stores[0].folder.damaged == ()
    assert [one.progress.status for one in stores] == ["paused", "active", "active", "active"]
    assert set(sessions_of(client)[-1].ended) == set(NAMES)


def test_an_exercise_that_may_not_be_done_is_named_with_the_reason(
    client: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One is in review alone, as when its position is done with: the others are done, and the page says why."""
    monkeypatch.setattr("coach.progression.apply_decision.closes_every_exercise", lambda *_: False)
    clock = Clock()
    play(open_live(client, clock), clock, exercise_over(0), Answers(answer={"set_1.pain": 8}))
    live = open_live(client, Clock(MONDAY.replace(month=12, day=2)))
    assert live.state.record.name == "outward_left"
    (line,) = live.left_out
    assert line.startswith("Not today: External rotation with a band, right.")
    page = live_page(live, SetupCache())
    assert isinstance(page, TextPage)
    assert line in page.lines
