"""A clinic's own exercises, positions and form questions: read, checked and used like the shipped ones."""

import shutil
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType

import pytest

from coach.authoring.check import check_folder
from coach.cli import main
from coach.commands.support.loading import client_store
from coach.commands.support.output import FINE
from coach.toml.diagnostic import render
from tests.authoring.test_check import place_of, spoil
from tests.demo.pristine import DEMO
from tests.journeys.test_an_exercise_from_files import EXERCISE, QUESTION, QUESTION_WORDS, WORDS
from tests.plans import next_plan

POSITION = """format = 1
name = "external_rotation"

[[positions]]
abduction_deg = 60
direction = "external"
plane_deg = 15
arc_start_deg = -10
available_deg = 80
available_source = "Invented for a test"
anchor_side = "other"
anchor_landmark = "hip"
body_turn_deg = 30
setup_source = "Invented for a test"
checks = ["band_sound", "anchor_holds", "taut_at_start", "face_clear"]
questions = ["wrist", "range"]
"""
POSITION_WORDS = WORDS.replace("position.45", "position.60").replace('title = "Reaching down with a band"\n', "")
POSITION_WORDS = POSITION_WORDS.replace('out = "down"\n', "").replace("(45", "(60")


def write_clinic(clinic: Path, more: Mapping[str, str] = MappingProxyType({})) -> None:
    """A clinic's folder with an exercise, a position and a question of its own, in English only; and more files."""
    for file, text in {
        "exercises/reach_down.toml": EXERCISE,
        "exercises/external_rotation.toml": POSITION,
        "en/reach_down.toml": WORDS,
        "en/external_rotation.toml": POSITION_WORDS,
        "form.toml": f"format = 1\n{QUESTION}",
        "en/form.toml": f"format = 1\n{QUESTION_WORDS}",
        **more,
    }.items():
        (clinic / file).parent.mkdir(parents=True, exist_ok=True)
        (clinic / file).write_text(text, encoding="utf-8")


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """Two clients, and a clinic with an exercise, a position and a question of its own."""
    for name in ("tern", "plover"):
        shutil.copytree(DEMO / name, tmp_path / name)
    write_clinic(tmp_path / "clinic")
    return tmp_path


def prescribe(client: Path, exercise: str, positions: str) -> None:
    """Another exercise and other positions, and none of what was set for the old ones."""
    path = client / "prescription.toml"
    head = path.read_text(encoding="utf-8").partition("\n[")
    lines = [line for line in head[0].split("\n") if not line.startswith(("exercise =", "positions ="))]
    dose = "[dose]" + path.read_text(encoding="utf-8").partition("[dose]")[2].partition("\n[first_step]")[0]
    dose = dose.partition("\n[[")[0]
    path.write_text(
        "\n".join([*lines, f'exercise = "{exercise}"', f"positions = {positions}", "", dose]) + "\n", encoding="utf-8"
    )
    shutil.rmtree(client / "records", ignore_errors=True)
    (client / "progress.toml").unlink(missing_ok=True)


def test_they_are_right(home: Path) -> None:
    assert [render(fault) for fault in check_folder(home)] == []
    assert [render(fault) for fault in check_folder(home / "clinic")] == []


@pytest.mark.parametrize(("exercise", "positions"), [("reach_down", "[45]"), ("external_rotation", "[60]")])
def test_every_command_runs_on_them(
    home: Path, exercise: str, positions: str, capsys: pytest.CaptureFixture[str]
) -> None:
    client = home / "tern"
    prescribe(client, exercise, positions)
    spoil(client / "profile.toml", "[95, 105, 120]", "[95, 105, 120, 190]")
    assert [render(fault) for fault in check_folder(home)] == []
    assert next_plan(client).position.questions == ("wrist", "range")
    for command in (["preview", "--text"], ["preview", "--decisions"], ["setup"], ["history"]):
        assert main([command[0], str(client), *command[1:]]) == FINE
    answers = ["--answers", str(DEMO / "answers.toml")]
    assert main(["handout", str(client), "--to", str(home / "page.pdf")]) == FINE
    assert main(["caseload", str(home), "--plain"]) == FINE
    assert main(["preview", str(client), "--text", *answers]) in (FINE, 1)
    assert "How often did your wrist bend?" in capsys.readouterr().out


def test_a_question_of_the_program_is_said_otherwise_beside_one_of_its_own(home: Path) -> None:
    spoil(home / "clinic" / "en" / "form.toml", "[fault]", '[question.slack]\nabout = "a loose band"\n\n[fault]')
    assert [render(fault) for fault in check_folder(home)] == []
    assert client_store(home / "tern").content.messages.form.question["slack"].about == "a loose band"


def test_in_another_language_they_are_shown_in_english(home: Path) -> None:
    client = home / "tern"
    spoil(client / "profile.toml", 'language = "en"', 'language = "de"')
    prescribe(client, "external_rotation", "[60]")
    content = client_store(client).content
    assert content.messages.exercises["external_rotation"].at("60").first_cue == "Bring your hand down."
    assert content.messages.exercises["external_rotation"].at("0").title.startswith("Arm")
    assert content.messages.form.question["wrist"].ask == "How often did your wrist bend?"
    assert content.messages.exercises["reach_down"].title == "Reaching down with a band"


# file in the clinic's folder, what is changed, the text at which the fault stands, and the first line
WRONG: tuple[tuple[str, str, str, str, str], ...] = (
    ("exercises/reach_down.toml", '"wrist"', '"wirst"', '"wirst"', "there is no question wirst"),
    ("exercises/reach_down.toml", '"exercising"', '"other"', '"other"', "the band helps instead of resisting"),
    (
        "exercises/external_rotation.toml",
        "abduction_deg = 60",
        "abduction_deg = 45",
        "45",
        "there is a second position",
    ),
    ("exercises/external_rotation.toml", '"range"', '"rang"', '"rang"', "there is no question rang"),
    ("en/reach_down.toml", 'first_cue = "Bring your hand down."', "", "[position.45]", "first_cue is missing"),
    ("en/external_rotation.toml", 'first_cue = "Bring your hand down."', "", "[position.60]", "first_cue is missing"),
    ("en/external_rotation.toml", "{side}", "{sid}", '"Turn {turn} to your {sid}', "{sid} is not filled in here"),
    ("form.toml", 'name = "wrist"', 'name = "blade"', '"blade"', "the question blade is in every clinic"),
    ("en/form.toml", "[question.wrist]", "[question.wirst]", "[question.wirst]", "there is no question.wirst"),
    ("en/form.toml", 'wrist_bent = "the wrist bent"', "", "", "the fault wrist_bent has no message"),
)


@pytest.mark.parametrize(("file", "old", "new", "at", "phrase"), WRONG, ids=[f"{row[0]} {row[4]}" for row in WRONG])
def test_what_is_wrong_in_them_is_told_first(home: Path, file: str, old: str, new: str, at: str, phrase: str) -> None:
    path = home / "clinic" / file
    spoil(path, old, new)
    first = check_folder(home / "clinic")[0]
    assert phrase in first.what, render(first)
    if at:
        assert first.path == path
        assert (first.line, first.column) == place_of(path, at), render(first)


def test_a_question_of_its_own_that_no_position_asks_is_told(home: Path) -> None:
    """The clinic would believe that it is asked."""
    for name in ("reach_down", "external_rotation"):
        path = home / "clinic" / "exercises" / f"{name}.toml"
        path.write_text(path.read_text(encoding="utf-8").replace('"wrist", ', ""), encoding="utf-8")
    (told,) = [one for one in check_folder(home / "clinic") if one.path.name == "form.toml"]
    assert told.what == "no position asks the question wrist"
