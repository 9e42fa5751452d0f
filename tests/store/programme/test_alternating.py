"""Two exercises in turn, set by set: one side rests while the other works."""

from itertools import pairwise
from pathlib import Path

import pytest

from coach.authoring.check import check_folder
from coach.cli import main
from coach.model.answers_file import Answers, ExerciseAnswers
from coach.model.programme.session_file import SessionClosed, SessionFile
from coach.model.record import Answered, SetDone
from coach.screens.client.live_page import live_page
from coach.screens.client.page_types import TextPage
from coach.screens.client.setup_context import SetupCache
from coach.session.next_exercise import finish_day
from coach.session.rehearsal import programme_states
from coach.session.script import Rest, SetupAgain
from coach.session.timeline import timeline_entries
from coach.store.client_store import ClientStore
from coach.store.programme.opening import todays_exercises
from coach.toml.diagnostic import render
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

_LEFT = 'name = "outward_left"\n'
RIGHT, OTHER = "outward_right", "outward_left"


@pytest.fixture
def client(demo_profiles: Path) -> Path:
    """The demo client with four exercises, of which the second is done in turn with the first."""
    path = demo_profiles / "curlew"
    version = path / "programme" / "0001.toml"
    text = version.read_text(encoding="utf-8")
    version.write_text(text.replace(_LEFT, f"{_LEFT}alternates = true\n"), encoding="utf-8")
    return path


def _sets(session: SessionFile) -> list[tuple[str | None, int]]:
    return [(one.exercise, one.number) for one in session.entry if isinstance(one, SetDone)]


def _agree(client: Path) -> bool:
    stores = ClientStore.read(client, content()).exercises
    return {one.agreement for one in stores} == {"agrees"}


def test_the_sets_take_turns_and_each_exercise_is_decided(client: Path) -> None:
    clock = Clock()
    play(open_live(client, clock), clock, over)
    session = sessions_of(client)[-1]
    assert _sets(session)[:4] == [(RIGHT, 1), (OTHER, 1), (RIGHT, 2), (OTHER, 2)]
    assert list(session.ended)[:2] == [RIGHT, OTHER]
    assert {one.how for one in session.ended.values()} == {"finished"}
    asked = [(one.exercise, one.step) for one in session.entry if isinstance(one, Answered)]
    assert len(asked) == len(set(asked)), "no check and no question is asked twice"
    assert _agree(client)


def test_the_rest_is_over_when_the_other_side_has_worked(client: Path) -> None:
    """No less than the rest lies between two sets of one exercise, and no rest of its own is kept."""
    plans = todays_exercises(ClientStore.read(client, content()), MONDAY).plans
    states = list(programme_states(plans, Answers(), MONDAY))
    turns = [one for one in states if isinstance(one.step, SetupAgain) and one.step.turn]
    assert [one.record.name for one in turns if one.question is None] == [RIGHT, OTHER]
    assert not [
        one for one in states if isinstance(one.step, Rest) and one.record.part < 2 and one.step.before_set > 1
    ]
    sets = [one for one in states[-1].file_session.entry if isinstance(one, SetDone) and one.exercise == RIGHT]
    for before, after in pairwise(sets):
        worked_s = after.under_load_s
        assert (after.at - before.at).total_seconds() - worked_s >= plans[0].prescription.dose.rest_s


def test_the_page_of_a_turn_says_what_and_how_to_stand(client: Path) -> None:
    clock = Clock()
    live = play(open_live(client, clock), clock, in_exercise(0, "set_2.turn"))
    page = live_page(live, SetupCache(), False)
    assert isinstance(page, TextPage)
    assert page.title == "In turn: set 2 of 2"
    assert page.lead == "Now: External rotation with a band, right."
    assert any("mark" in line for line in page.lines)
    assert page.drawing is not None


def _first_page(client: Path) -> str:
    live = open_live(client, Clock())
    page = live_page(live, SetupCache(), False)
    assert isinstance(page, TextPage)
    return " ".join(page.lines)


def test_the_first_page_says_it(client: Path) -> None:
    assert "In turn, set by set: External rotation with a band, right" in _first_page(client)


def test_after_pain_in_one_the_other_goes_on_by_itself(client: Path) -> None:
    clock, hurts = Clock(), Answers(exercise={RIGHT: ExerciseAnswers(answer={"set_1.pain": 7})})
    play(open_live(client, clock), clock, over, hurts)
    session = sessions_of(client)[-1]
    assert _sets(session)[:3] == [(RIGHT, 1), (OTHER, 1), (OTHER, 2)]
    assert (session.ended[RIGHT].how, session.ended[OTHER].how) == ("stopped", "finished")
    assert _agree(client)


def test_a_session_killed_in_the_second_goes_on_there_and_then_with_the_other(client: Path) -> None:
    clock = Clock()
    play(open_live(client, clock), clock, in_exercise(1, "set_1.pain"))
    clock.move(120)
    live = open_live(client, clock, resume=True)
    assert live.state.record.name == OTHER
    play(live, clock, over)
    session = sessions_of(client)[-1]
    assert _sets(session)[:4] == [(RIGHT, 1), (OTHER, 1), (OTHER, 2), (RIGHT, 2)]
    assert list(session.ended)[:2] == [OTHER, RIGHT]
    assert _agree(client)


@pytest.mark.parametrize(("number", "first"), [(1, "finished"), (0, "left")])
def test_what_is_not_resumed_is_closed_for_both(client: Path, number: int, first: str) -> None:
    clock = Clock()
    play(open_live(client, clock), clock, in_exercise(number, "set_2.work"))
    clock.move(120)
    before = len(sessions_of(client))
    open_live(client, clock)
    left = sessions_of(client)[before - 1]
    assert {name: one.how for name, one in left.ended.items()} == {RIGHT: first, OTHER: "left"}
    assert not left.is_open
    assert "differs" not in {one.agreement for one in ClientStore.read(client, content()).exercises}


def test_who_finishes_after_one_has_the_other_closed_as_far_as_it_went(client: Path) -> None:
    clock, hurts = Clock(), Answers(exercise={OTHER: ExerciseAnswers(answer={"set_1.pain": 7})})
    live = play(open_live(client, clock), clock, exercise_over(1), hurts)
    live.act(finish_day)
    session = sessions_of(client)[-1]
    assert isinstance(session.entry[-1], SessionClosed)
    assert {name: one.how for name, one in session.ended.items()} == {OTHER: "stopped", RIGHT: "left"}
    assert _agree(client)


def test_a_sign_in_one_closes_both(client: Path) -> None:
    clock, sign = Clock(), Answers(exercise={OTHER: ExerciseAnswers(answer={"set_1.trouble": "gave_way"})})
    play(open_live(client, clock), clock, over, sign)
    session = sessions_of(client)[-1]
    assert {name: one.how for name, one in session.ended.items()} == {OTHER: "stopped", RIGHT: "left"}
    assert {one.progress.status for one in ClientStore.read(client, content()).exercises} == {"review"}
    assert _agree(client)


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("outward_right", "alternates with the exercise before it, and is the first"),
        ("inward_right", "only two can take turns"),
    ],
)
def test_what_cannot_take_turns_is_told(client: Path, name: str, told: str) -> None:
    version = client / "programme" / "0001.toml"
    text = version.read_text(encoding="utf-8").replace(f'name = "{name}"\n', f'name = "{name}"\nalternates = true\n')
    version.write_text(text, encoding="utf-8")
    assert any(told in render(one) for one in check_folder(client))


def test_the_preview_says_it_and_lists_each_by_itself(client: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["preview", str(client), "--text"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert (
        "In turn, set by set: External rotation with a band, right, then External rotation with a band, left." in text
    )
    assert text.count("Set 1 of 2") == text.count("Set 2 of 2")


def test_the_timeline_is_in_the_order_of_the_turns(client: Path) -> None:
    plans = todays_exercises(ClientStore.read(client, content()), MONDAY).plans
    names = [one.place for one in timeline_entries(plans, Answers(), MONDAY)]
    works = [place for place in names if place[1].endswith("work.count_in") and place[0] < 2]
    assert works == [(0, "set_1.work.count_in"), (1, "set_1.work.count_in"), (0, "set_2.work.count_in"),
                     (1, "set_2.work.count_in")]  # fmt: skip
