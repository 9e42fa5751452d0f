"""`coach changed`: what an edit changes, and for whom."""

import shutil
from pathlib import Path

import pytest

from coach.cli import main
from coach.commands.support.output import FAULTS, FINE
from coach.content_files.content_folder import content_folder

OLD_CUE, NEW_CUE = "Hold your elbow at shoulder height.", "Elbow at shoulder height."


@pytest.fixture
def edited(tmp_path: Path) -> Path:
    """A copy of the content, to be edited."""
    return Path(shutil.copytree(content_folder(), tmp_path / "content"))


def edit(path: Path, old: str, new: str) -> None:
    """Change the first place where a text stands in a file."""
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def told(capsys: pytest.CaptureFixture[str], *arguments: Path | str) -> str:
    """What the command prints, its columns read as one text."""
    assert main(["changed", str(content_folder()), *map(str, arguments)]) == FINE
    return capsys.readouterr().out


def lines_changed(text: str) -> dict[str, int]:
    """How many lines are said to change, by client; 0 for nothing."""
    said = (line.split(": ") for line in text.split("for each client")[1].split("\n") if ": " in line)
    return {name: int(what.split()[0]) if what[0].isdigit() else 0 for name, what in said}


def test_nothing_changed_is_said(edited: Path, demo_profiles: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = told(capsys, edited, "--clients", demo_profiles)
    assert "No message and no number has changed." in text
    assert set(lines_changed(text).values()) == {0}


def test_a_cue_touches_those_who_may_get_to_its_position(
    edited: Path, demo_profiles: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """At 90 degrees: heron's goal holds that position, tern's and avocet's do not."""
    edit(edited / "en" / "external_rotation.toml", OLD_CUE, NEW_CUE)
    text = told(capsys, edited, "--clients", demo_profiles)
    assert "en.external_rotation.position.90.cues" in text
    assert "! " in text
    touched = lines_changed(text)
    assert touched["heron"] == 1
    assert touched["tern"] == touched["avocet"] == 0


def test_a_line_of_the_script_stands_beside_the_old_one(edited: Path, capsys: pytest.CaptureFixture[str]) -> None:
    edit(edited / "en" / "external_rotation.toml", "You train the small muscles", "You train the little muscles")
    text = told(capsys, edited)
    (line,) = [line for line in text.split("\n") if line.startswith("You train the small muscles")]
    assert "! You train the little muscles" in line
    assert "external_rotation, 0°, en" in text
    assert "external_rotation, 45°, en" not in text


def test_a_limit_touches_everybody_but_for_whom_it_is_set(
    edited: Path, demo_profiles: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    edit(edited / "limits.toml", 'name = "pain_max"\nvalue = 5', 'name = "pain_max"\nvalue = 4')
    tern = demo_profiles / "tern" / "prescription.toml"
    tern.write_text(tern.read_text(encoding="utf-8") + "\n[limits]\npain_max = 3\n", encoding="utf-8")
    touched = lines_changed(told(capsys, edited, "--clients", demo_profiles))
    assert touched.pop("tern") == 0
    assert all(touched.values())


def test_one_client_is_shown_whole(edited: Path, demo_profiles: Path, capsys: pytest.CaptureFixture[str]) -> None:
    edit(edited / "en" / "external_rotation.toml", "You train the small muscles", "You train the little muscles")
    text = told(capsys, edited, "--clients", demo_profiles / "tern")
    assert "! You train the little muscles" in text.split("for each client")[1]


def test_a_broken_client_keeps_nobody_from_the_others(
    edited: Path, demo_profiles: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (demo_profiles / "heron" / "prescription.toml").write_text("format = \n", encoding="utf-8")
    text = told(capsys, edited, "--clients", demo_profiles)
    assert "heron: cannot be said." in text
    assert "tern: nothing" in text


def test_a_broken_content_is_told(edited: Path, capsys: pytest.CaptureFixture[str]) -> None:
    edit(edited / "limits.toml", "value = 0.05", "value = x")
    assert main(["changed", str(content_folder()), str(edited)]) == FAULTS
    assert "limits.toml:" in capsys.readouterr().err
