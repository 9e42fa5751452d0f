"""A whole session of a raise and of a row on the screens, every command on them, and motions from files alone."""

import json
import re
import shutil
from datetime import timedelta
from pathlib import Path
from typing import Literal

import pytest

import coach
from coach.cli import main
from coach.model.answers_file import Answers
from coach.model.record import Record
from coach.store.client_folder import read_client_folder
from tests.clocks import START, FakeClock
from tests.demo.pristine import DEMO, TREE
from tests.journeys.walk import Given, live, session_app, walk
from tests.screens.plain.output_lines import newest, run_with_answers

pytestmark = pytest.mark.usefixtures("few_lives")

ANSWERS = DEMO / "answers.toml"
Trained = Literal["raise", "raise_low_anchor", "row"]


def _client(demo_profiles: Path, exercise: str) -> Path:
    """The client at the start with another exercise, and bands and heights that it needs."""
    folder = demo_profiles / "tern"
    profile, prescription = folder / "profile.toml", folder / "prescription.toml"
    text = re.sub(r"\[\[ranges\]\].*?\[home\]", "[home]", profile.read_text(encoding="utf-8"), flags=re.DOTALL)
    text = text.replace("strands = [1]", "strands = [1, 2]").replace("[95, 105, 120]", "[5, 105, 120]")
    if exercise.startswith("raise"):
        for short, long in ((0.70, 0.90), (0.875, 1.125), (1.050, 1.350), (1.400, 1.800), (1.750, 2.250)):
            text = text.replace(f"length_m = {short:.3f},", f"length_m = {long:.3f},")
            text = text.replace(f"resting_length_m = {short:.2f}", f"resting_length_m = {long:.2f}")
    profile.write_text(text, encoding="utf-8")
    text = prescription.read_text(encoding="utf-8").replace('"external_rotation"', f'"{exercise}"')
    prescription.write_text(text[: text.index("[first_step]")], encoding="utf-8")
    return folder


def _shown_every_fault(folder: Path) -> list[str]:
    """Three sessions on three days, in which two faults each are shown: the rules they ended with."""
    for days in (6, 4, 2):
        assert run_with_answers(folder, Answers(), lambda _: None, START - timedelta(days=days))
    ended = [record.ended for record in read_client_folder(folder).records]
    return [one.decision.rule for one in ended if one is not None]


def _said(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert main(arguments) == 0, capsys.readouterr()
    return capsys.readouterr().out


async def _session(folder: Path, given: Given) -> Record:
    clock = FakeClock()
    app = session_app(folder, clock)
    async with app.run_test(size=(80, 24)) as pilot:
        await walk(pilot, app, clock, given)
        return live(app).state.record


async def test_a_whole_session_of_a_raise(demo_profiles: Path) -> None:
    """The band is under the foot; a shrug seen in one set stays the only fault."""
    folder = _client(demo_profiles, "raise")
    record = await _session(folder, {"set_1.shrug": "once"})
    assert (record.exercise, record.position) == ("raise", "0")
    assert record.answer("check.band_underfoot") == "yes"
    assert record.answer("set_1.shrug") == "once"
    step = record.rungs.step
    assert (step.underfoot, step.unit, step.strands) == (True, None, 1)
    assert record.ended is not None
    assert record.ended.decision.rule == "unclean"
    assert f"{step.distance_cm} cm of it underfoot" in record.ended.decision.reason
    kept = read_client_folder(folder).records[-1]
    assert kept.rungs == record.rungs


async def test_a_whole_session_of_a_row(demo_profiles: Path) -> None:
    """The fourth one, after which every fault of a row was shown and asked about: the first that may lead further."""
    folder = _client(demo_profiles, "row")
    assert _shown_every_fault(folder) == ["not_all_asked"] * 3
    record = await _session(folder, {})
    assert (record.exercise, record.position) == ("row", "0")
    step = record.rungs.step
    assert (step.underfoot, step.unit, step.load_unit) == (None, "N", "N")
    assert record.ended is not None
    assert record.ended.decision.rule == "repetitions_up"
    assert read_client_folder(folder).records[-1].rungs == record.rungs


def test_a_session_in_german_line_by_line(demo_profiles: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = _client(demo_profiles, "raise")
    path = folder / "profile.toml"
    path.write_text(path.read_text(encoding="utf-8").replace('language = "en"', 'language = "de"'), encoding="utf-8")
    assert main(("rehearse", str(folder), "--plain", "--speed", "1000", "--answers", str(ANSWERS))) == 0
    whole = capsys.readouterr().out
    assert "Markieren Sie das Band" in whole
    assert "heben, 1 von 8" in whole
    assert "Dazwischen bewegt sich der Arm um 75 Grad" in whole
    assert "{" not in whole


@pytest.mark.parametrize(
    ("exercise", "unit", "load_code", "said"),
    [
        ("raise", "Nm", "mean_torque", "of the band underfoot"),
        ("raise_low_anchor", "Nm", "mean_torque", "the floor to the anchor"),
        ("row", "N", "mean_force", "the floor to the anchor"),
    ],
)
def test_every_command_knows_them(
    exercise: Trained,
    unit: str,
    load_code: str,
    said: str,
    demo_profiles: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    client = _client(demo_profiles, exercise)
    _shown_every_fault(client)
    assert run_with_answers(client, Answers(), lambda _: None)
    assert "fine" in _said(capsys, "check", str(client))
    setup = _said(capsys, "setup", str(client))
    assert said in setup
    assert f"Load, {unit} " in setup
    assert re.search(rf"\d {unit}\b", setup)
    assert unit == "Nm" or not re.search(r"\bNm\b", setup)
    preview = " ".join(_said(capsys, "preview", str(client), "--text").split())
    assert re.search(rf"\d {unit} on average", preview)
    assert "more repetitions" in _said(capsys, "history", str(client))
    assert re.search(rf"lower tenth, {unit}", _said(capsys, "forecast", str(client)))
    assert "mean" in _said(capsys, "preview", str(client), "--decisions")
    _said(capsys, "handout", str(client), "--to", str(tmp_path / "page.pdf"))
    _said(capsys, "export", str(client), "--fhir", "--to", str(tmp_path / "bundle.json"))
    _said(capsys, "export", str(client), "--csv", "--to", str(tmp_path / "sets.csv"))
    bundle = json.loads((tmp_path / "bundle.json").read_text(encoding="utf-8"))
    sets = [entry["resource"] for entry in bundle["entry"] if "valueCodeableConcept" in entry["resource"]]
    found = [part for one in sets for part in one["component"] if part["code"]["coding"][0]["code"] == load_code]
    assert {part["valueQuantity"]["code"] for part in found} == {"N" if unit == "N" else "N.m"}
    head, *rows = (tmp_path / "sets.csv").read_text(encoding="utf-8-sig").splitlines()
    at = head.split(",").index("load_unit")
    assert {row.split(",")[at] for row in rows} == {unit}
    numbers = json.loads(_said(capsys, "setup", str(client), "--json"))
    assert numbers["load"]["unit"] == unit


PRESS = """format = 1
name = "{name}"

[[positions]]
name = "standing"
abduction_deg = 0
direction = "{direction}"
plane_deg = 90
arc_start_deg = {start}
available_deg = {end}
available_source = "Invented for a test"
anchor_side = "{side}"
anchor_landmark = "{landmark}"
body_turn_deg = {turn}
setup_source = "Invented for a test"
checks = ["band_sound", "anchor_holds", "taut_at_start", "face_clear"]
questions = ["shrug", "range"]
"""
MESSAGES = """format = 1
title = "Invented"
out = "push"

[position.standing]
title = "Invented, standing"
purpose = "Invented for a test."
why_here = "Invented for a test."
place = ["Band at {anchor_height_cm} cm: {landmark}.", "Stand {distance_cm} cm off.", "Turn {turn} degrees."]
arm = ["{band}, {strands}, in your {side} hand."]
reach = "Once without the band."
cautions = ["Invented for a test."]
first_cue = "Push your hand forward."
cues = [
  { fault = "shoulder_hitched", text = "Shoulder down." },
  { fault = "end_range_lost", text = "All the way." },
]
"""


@pytest.mark.parametrize(
    ("name", "given", "unit"),
    [
        (
            "press_forward",
            {"direction": "press", "start": 0, "end": 15, "side": "other", "landmark": "elbow", "turn": 180},
            "N",
        ),
        (
            "raise_in_front",
            {"direction": "raise", "start": 20, "end": 90, "side": "exercising", "landmark": "floor", "turn": 180},
            "Nm",
        ),
        (
            "press_down",
            {"direction": "lower", "start": 55, "end": 90, "side": "other", "landmark": "eye", "turn": 0},
            "Nm",
        ),
    ],
)
def test_a_new_motion_from_files_alone(
    name: str,
    given: dict[str, object],
    unit: str,
    demo_profiles: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A path, and an angle in another plane and in the other direction: checked, computed and done."""
    folder = tmp_path / "content"
    for part in ("exercises", "en"):
        shutil.copytree(TREE / "content" / part, folder / part)
    for file in (TREE / "content").glob("*.toml"):
        shutil.copy(file, folder / file.name)
    (folder / "exercises" / f"{name}.toml").write_text(PRESS.format(name=name, **given), encoding="utf-8")
    (folder / "en" / f"{name}.toml").write_text(MESSAGES, encoding="utf-8")
    monkeypatch.setattr(coach, "__file__", str(tmp_path / "coach" / "__init__.py"))
    client = _client(demo_profiles, name)
    prescription = client / "prescription.toml"
    text = prescription.read_text(encoding="utf-8").replace('positions = ["0"]', 'positions = ["standing"]')
    prescription.write_text(text, encoding="utf-8")
    path = client / "profile.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("[5, 105, 120]", "[5, 105, 160]"), encoding="utf-8")
    assert "fine" in _said(capsys, "check", str(folder), str(client))
    lines: list[str] = []
    assert run_with_answers(client, Answers(), lines.append, START)
    assert "push, 1 of 8" in lines
    assert newest(client).rungs.step.load_unit == unit
    numbers = json.loads(_said(capsys, "setup", str(client), "--json"))
    assert numbers["position"]["direction"] == given["direction"]
    load = "force_n" if unit == "N" else "torque_nm"
    assert min(place[load] for place in numbers["degrees"]) > 0
