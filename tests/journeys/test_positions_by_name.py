"""Positions are known by their names, so that two may share an abduction."""

import json
from datetime import timedelta
from pathlib import Path

import pytest

from coach.authoring.check import check_folder
from coach.cli import main
from coach.commands.support.loading import client_store
from coach.model.answers_file import Answers
from coach.model.profile import AvailableRange
from coach.toml.diagnostic import render
from coach.toml.reader import read_model
from tests.authoring.test_check import spoil
from tests.authoring.test_own_entries import POSITION, POSITION_WORDS, home, prescribe
from tests.clocks import START
from tests.plans import next_plan
from tests.screens.plain.output_lines import newest, run_with_answers

__all__ = ["home"]

_TITLE = "Arm at your side, on a towel"
_NAMED = POSITION.replace("abduction_deg = 60", 'name = "towel"\nabduction_deg = 0').replace('"wrist", ', "")
_WORDS = POSITION_WORDS.replace("[position.60]", "[position.towel]").replace("Reaching down (60 degrees)", _TITLE)
_RANGE = '\n[[ranges]]\nposition = "{position}"\navailable_deg = {degrees}\non = 2026-11-25\n'


@pytest.fixture
def client(home: Path) -> Path:
    """A client with two positions at the side: one that is shipped, and one of the clinic's own."""
    (home / "clinic" / "exercises" / "external_rotation.toml").write_text(_NAMED, encoding="utf-8")
    (home / "clinic" / "en" / "external_rotation.toml").write_text(_WORDS, encoding="utf-8")
    folder = home / "tern"
    prescribe(folder, "external_rotation", '["0", "towel"]')
    return folder


def _steered(client: Path, *what: str) -> int:
    return main(["steer", str(client), *what, "--initials", "AB", "--reason", "seen", "--yes"])


def test_both_are_right_and_each_has_its_own_range(client: Path) -> None:
    profile = client / "profile.toml"
    for position, degrees in (("0", 70), ("towel", 52)):
        with profile.open("a", encoding="utf-8") as file:
            file.write(_RANGE.format(position=position, degrees=degrees))
    assert [render(fault) for fault in check_folder(client.parent)] == []
    store = client_store(client)
    assert [store.profile.available_deg(one, "external") for one in ("0", "towel")] == [70, 52]
    assert next_plan(client).position.name == "0"


def test_a_session_in_the_second_is_asked_recorded_and_told(
    client: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    waived = "despite=range,strength"
    assert run_with_answers(client, Answers(), list[str]().append)
    assert _steered(client, "unlock_position", "position=towel", waived) == 0, capsys.readouterr().err
    lines: list[str] = []
    assert run_with_answers(client, Answers(), lines.append, START + timedelta(days=2))
    assert f"{_TITLE}" in "\n".join(lines)
    assert newest(client).position == "towel"
    capsys.readouterr()
    for command, said in (("history", f"“{_TITLE}”, "), ("preview", f"“{_TITLE}”, "), ("setup", _TITLE)):
        text = ["--text"] if command == "preview" else []
        assert main([command, str(client), *text]) == 0
        assert said in " ".join(capsys.readouterr().out.split()), command
    assert main(["export", str(client), "--fhir", "--to", str(tmp_path / "bundle.json")]) == 0
    bundle = json.loads((tmp_path / "bundle.json").read_text(encoding="utf-8"))
    parts = [part for entry in bundle["entry"] for part in entry["resource"].get("component", ())]
    degrees = {part["valueQuantity"]["value"] for part in parts if part["code"]["coding"][0]["code"] == "position"}
    assert degrees == {0}


def test_a_cap_at_one_lets_the_other_of_the_same_height(client: Path) -> None:
    assert _steered(client, "cap_position", "position=0") == 0
    assert _steered(client, "unlock_position", "position=towel", "despite=range,strength") == 0
    assert client_store(client).progress.position == "towel"


def test_a_misspelt_position_is_told_with_the_nearest(client: Path) -> None:
    spoil(client / "prescription.toml", '"towel"', '"towle"')
    (fault,) = [one for one in check_folder(client.parent) if one.path.parent == client]
    assert (fault.what, fault.nearest) == ("external_rotation has no position towle", "towel")


def test_a_position_under_its_former_key_is_read_and_told_at_its_line(tmp_path: Path, client: Path) -> None:
    path = tmp_path / "range.toml"
    path.write_text("position_deg = 45\navailable_deg = 60\non = 2026-11-25\n", encoding="utf-8")
    assert read_model(path, AvailableRange).position == "45"
    profile = client / "profile.toml"
    with profile.open("a", encoding="utf-8") as file:
        file.write(_RANGE.format(position="0", degrees=70).replace('position = "0"', "position_deg = 20"))
    (fault,) = check_folder(client)
    assert fault.what.startswith("there is no position at 20 degrees")
    assert profile.read_text(encoding="utf-8").splitlines()[fault.line - 1] == "position_deg = 20"
