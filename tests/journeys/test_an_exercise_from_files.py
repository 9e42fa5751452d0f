"""An exercise that no code knows, made of files alone: checked, previewed, done, progressed, printed, exported."""

import json
import shutil
from datetime import timedelta
from pathlib import Path

import pytest

import coach
from coach.cli import main
from coach.model.answers_file import Answers
from coach.model.progress import Progress
from coach.store.client_folder import read_client_folder
from coach.toml.reader import read_model
from tests.clocks import START, FakeClock
from tests.demo.pristine import TREE
from tests.journeys.walk import Given, live, session_app, walk
from tests.screens.plain.output_lines import newest, run_with_answers

# Invented: internal rotation with the arm halfway up, the anchor to the side and high, with a question of its own.
EXERCISE = """format = 1
name = "reach_down"

[[positions]]
abduction_deg = 45
direction = "internal"
plane_deg = 30
arc_start_deg = -80
available_deg = 0
available_source = "Invented for a test"
anchor_side = "exercising"
anchor_landmark = "eye"
body_turn_deg = 60
setup_source = "Invented for a test"
checks = ["band_sound", "anchor_holds", "taut_at_start", "face_clear"]
questions = ["wrist", "range"]
"""
QUESTION = """
[[question]]
name = "wrist"
fault = "wrist_bent"
fault_answer = "yes"
"""
QUESTION_WORDS = """[question.wrist]
ask = "How often did your wrist bend?"
about = "the wrist"
teach = "Right: the wrist stays straight. Wrong: it bends."
how_to_tell = ["Look: the back of your hand and the forearm are one line."]

[fault]
wrist_bent = "the wrist bent"
"""
WORDS = """format = 1
title = "Reaching down with a band"
out = "down"

[position.45]
title = "Reaching down (45 degrees)"
purpose = "Invented for a test."
why_here = "Invented for a test."
place = ["Band at {anchor_height_cm} cm: {landmark}.", "Stand {distance_cm} cm off.", "Turn {turn} to your {side}."]
arm = ["{band}, {strands}, in your {side} hand."]
reach = "Once without the band."
cautions = ["Invented for a test."]
first_cue = "Bring your hand down."
cues = [
  { fault = "wrist_bent", text = "Keep your wrist straight." },
  { fault = "end_range_lost", text = "All the way down." },
]
"""
BENT: Given = {"set_1.wrist": "once"}


def _add(path: Path, before: str, text: str) -> None:
    whole = path.read_text(encoding="utf-8")
    assert whole.count(before) == 1
    path.write_text(whole.replace(before, text), encoding="utf-8")


@pytest.fixture
def content(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The shipped content in English with the exercise added, where the program looks for its content."""
    folder = tmp_path / "content"
    for name in ("exercises", "en"):
        shutil.copytree(TREE / "content" / name, folder / name)
    for file in (TREE / "content").glob("*.toml"):
        shutil.copy(file, folder / file.name)
    (folder / "exercises" / "reach_down.toml").write_text(EXERCISE, encoding="utf-8")
    (folder / "en" / "reach_down.toml").write_text(WORDS, encoding="utf-8")
    with (folder / "form.toml").open("a", encoding="utf-8") as form:
        form.write(QUESTION)
    _add(folder / "en" / "form.toml", "[fault]\n", QUESTION_WORDS)
    monkeypatch.setattr(coach, "__file__", str(tmp_path / "coach" / "__init__.py"))
    return folder


@pytest.fixture
def client(demo_profiles: Path) -> Path:
    """A client at the start, with the exercise prescribed and an anchor high enough at home."""
    folder = demo_profiles / "tern"
    prescription, profile = folder / "prescription.toml", folder / "profile.toml"
    _add(prescription, '"external_rotation"', '"reach_down"')
    _add(prescription, 'positions = ["0"]', 'positions = ["45"]')
    _add(prescription, '[first_step]\ngrade = "knotted"\nstrands = 1\ndistance_cm = 85\n', "")
    _add(profile, "[95, 105, 120]", "[120, 190]")
    return folder


def _said(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert main(arguments) == 0, capsys.readouterr().err
    return capsys.readouterr().out


@pytest.mark.usefixtures("content")
async def test_a_whole_session_on_the_screens(client: Path) -> None:
    clock = FakeClock()
    app = session_app(client, clock)
    async with app.run_test(size=(80, 24)) as pilot:
        await walk(pilot, app, clock, BENT)
        record = live(app).state.record
    assert (record.exercise, record.position) == ("reach_down", "45")
    assert record.answer("set_1.wrist") == "once"
    assert record.ended is not None
    assert (record.ended.decision.rule, record.ended.decision.numbers["faults"]) == ("unclean", 1)


@pytest.mark.usefixtures("content")
def test_clean_sessions_lead_to_more(client: Path) -> None:
    """Repetitions rise to the top, then the load: told line by line with the exercise's own words."""
    lines: list[str] = []
    for day in range(0, 24, 2):
        assert run_with_answers(
            client, Answers(answer=dict(BENT) if day == 2 else {}), lines.append, START + timedelta(day)
        )
    told = {"How often did your wrist bend?", "Think of this: Keep your wrist straight.", "down, 1 of 8"}
    assert told <= set(lines)
    assert not [line for line in lines if line.startswith("out,")]
    kept = read_client_folder(client).records
    rules = [record.ended.decision.rule for record in kept if record.ended is not None]
    assert rules[:3] == ["repetitions_up", "unclean", "repetitions_up"]
    assert "load_up" in rules
    assert newest(client).rungs.step.mean_nm > kept[0].rungs.step.mean_nm
    assert read_model(client / "progress.toml", Progress).exercise == "reach_down"


def test_every_command_knows_it(
    content: Path, client: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lines: list[str] = []
    assert run_with_answers(client, Answers(), lines.append)
    assert "fine" in _said(capsys, "check", str(content), str(client))
    assert "3 s down, 2 s hold, 3 s back" in _said(capsys, "preview", str(client))
    assert "Reaching down (45 degrees)" in _said(capsys, "setup", str(client))
    assert "Same load, more repetitions" in _said(capsys, "history", str(client))
    _said(capsys, "handout", str(client), "--to", str(tmp_path / "page.pdf"))
    _said(capsys, "export", str(client), "--fhir", "--to", str(tmp_path / "bundle.json"))
    bundle = json.loads((tmp_path / "bundle.json").read_text(encoding="utf-8"))
    sets = [entry["resource"] for entry in bundle["entry"] if "valueCodeableConcept" in entry["resource"]]
    assert {one["valueCodeableConcept"]["coding"][0]["code"] for one in sets} == {"reach_down"}
    numbers = json.loads(_said(capsys, "setup", str(client), "--json"))
    assert numbers["position"]["direction"] == "internal"
    assert min(numbers["setup"]["anchor_m"][:2]) > 0
    assert max(degree["arm_weight_nm"] for degree in numbers["degrees"]) < 0


@pytest.mark.parametrize("command", ["preview", "history", "setup", "forecast", "rehearse"])
def test_an_exercise_that_is_not_in_the_content_is_named(
    client: Path, command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """The prescription as above, and no such file: a sentence and no traceback."""
    assert main((command, str(client))) == 1
    assert "there is no exercise reach_down in the content" in capsys.readouterr().err
