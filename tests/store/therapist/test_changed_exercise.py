"""Another exercise in the place of one: by a signed instruction, with what was set for the one before taken out."""

from pathlib import Path

import pytest

from coach.cli import main
from coach.commands.support.loading import client_store
from coach.model.answers_file import Answers
from coach.store.client_store import ClientStore
from tests.clocks import START
from tests.screens.plain.output_lines import run_with_answers

_NAME = "outward_left"


@pytest.fixture
def client(demo_profiles: Path) -> Path:
    """The demo client with four exercises, after six sessions."""
    return demo_profiles / "curlew"


def _steer(client: Path, *what: str) -> int:
    return main(["steer", str(client), *what, "--exercise", _NAME, "--initials", "KB", "--reason", "asked", "--yes"])


def _one(client: Path) -> ClientStore:
    return client_store(client).for_exercise(_NAME)


def test_it_begins_anew_and_what_was_done_stays(client: Path) -> None:
    before = _one(client)
    assert before.prescription.first_step is not None
    assert _steer(client, "change", "exercise=internal_rotation", "positions=0") == 0
    after = _one(client)
    assert (after.prescription.exercise, after.prescription.first_step) == ("internal_rotation", None)
    assert (after.progress.exercise, after.progress.load, after.progress.ready_sessions) == (
        "internal_rotation",
        None,
        0,
    )
    assert after.progress.pains == before.progress.pains
    assert [one.record for one in after.sessions] == [one.record for one in before.sessions]
    plan = after.admission(START, after.progress).plan
    assert plan is not None
    assert plan.position.direction == "internal"


def test_it_is_taken_back_with_all_that_went(client: Path) -> None:
    before = _one(client).prescription
    assert _steer(client, "change", "exercise=internal_rotation", "positions=0") == 0
    assert _steer(client, "take_back") == 0
    after = _one(client).prescription
    assert (after.exercise, after.positions, after.first_step) == (
        before.exercise,
        before.positions,
        before.first_step,
    )


def test_a_client_of_one_exercise_too(demo_profiles: Path) -> None:
    client = demo_profiles / "tern"
    assert run_with_answers(client, Answers(), list[str]().append)
    signed = ("--initials", "KB", "--reason", "asked", "--yes")
    assert main(["steer", str(client), "change", "exercise=internal_rotation", "positions=0", *signed]) == 0
    store = client_store(client)
    assert (store.prescription.exercise, store.progress.load) == ("internal_rotation", None)


@pytest.mark.parametrize(
    ("what", "told"),
    [
        (("exercise=internal_rotaton", "positions=0"), "nearest: internal_rotation"),
        (("exercise=internal_rotation", "positions=90"), "internal_rotation has no position at 90 degrees"),
    ],
)
def test_what_does_not_fit_is_told_and_nothing_is_written(
    client: Path, what: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    before = sorted(path.name for path in client.rglob("*.toml"))
    assert _steer(client, "change", *what) != 0
    assert told in capsys.readouterr().err
    assert sorted(path.name for path in client.rglob("*.toml")) == before
