"""`coach check` as a person types it, and as an editor or a build reads it."""

import json
import shutil
from pathlib import Path

import pytest

from coach.cli import main
from coach.commands.support.output import FAULTS, FINE
from coach.content_files.content_folder import content_folder
from tests.demo.pristine import DEMO

KEYS = ["file", "line", "column", "what", "expected", "nearest", "mend", "also", "text"]


@pytest.fixture
def content(tmp_path: Path) -> Path:
    """A copy of the content in one language, to be spoilt."""
    return Path(shutil.copytree(content_folder(), tmp_path / "content", ignore=shutil.ignore_patterns("de")))


@pytest.fixture
def tern(tmp_path: Path) -> Path:
    """A demo client, to be spoilt."""
    return Path(shutil.copytree(DEMO / "tern", tmp_path / "tern"))


def _spoil(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_what_is_fine_is_an_empty_list(content: Path, tern: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(content), str(tern), "--json"]) == FINE
    assert json.loads(capsys.readouterr().out) == []


def test_faults_of_several_files_come_as_one_list_in_order(
    content: Path, tern: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Syntax, a wrong choice, a misspelt key and a file as a whole, in two folders."""
    form = content / "en" / "form.toml"
    _spoil(form, "format = 1\n", 'format = 1\nfault = "体\n')
    _spoil(content / "safety.toml", 'on_no = "stop"', '\ton_no = "stopp"')
    _spoil(content / "safety.toml", 'urgency = "emergency"', 'urgent = "emergency"')
    (tern / "prescription.toml").unlink()
    assert main(["check", str(content), str(tern), "--json"]) == FAULTS
    told = json.loads(capsys.readouterr().out)
    assert all(list(fault) == KEYS for fault in told)
    places = [(Path(fault["file"]).name, fault["line"], fault["column"]) for fault in told]
    safety = (content / "safety.toml").read_text(encoding="utf-8").split("\n")
    stop = next(number for number, line in enumerate(safety, 1) if "stopp" in line)
    urgent = next(number for number, line in enumerate(safety, 1) if line.startswith("urgent"))
    assert places == [
        ("safety.toml", stop, 10),
        ("safety.toml", urgent, 1),
        ("form.toml", form.read_text(encoding="utf-8").split("\n").index('fault = "体') + 1, 11),
        ("prescription.toml", None, None),
    ]
    assert told[2]["text"] == 'fault = "体'
    assert [fault["nearest"] for fault in told] == ["stop", "urgency", None, None]
    assert told[0]["expected"] == 'one of "mend", "mend_once", "stop"'
    assert told[0]["mend"] == 'write on_no = "stop"'
    assert told[3]["text"] is None


def test_people_and_programs_are_told_the_same_places(content: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _spoil(content / "rules.toml", '"pain_max"', '"pain_maks"')
    assert main(["check", str(content), "--json"]) == FAULTS
    (fault,) = json.loads(capsys.readouterr().out)
    assert main(["check", str(content)]) == FAULTS
    said = capsys.readouterr().out
    assert said.startswith(f"{fault['file']}:{fault['line']}:{fault['column']}: {fault['what']}\n")
    assert f"{content}: 1 fault" in said


def test_a_folder_that_is_not_there_is_a_fault_of_no_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(tmp_path / "none"), "--json"]) == FAULTS
    (fault,) = json.loads(capsys.readouterr().out)
    assert (fault["line"], fault["column"], fault["text"]) == (None, None, None)
    assert fault["what"] == "there is no such folder"


def test_the_reading_level_is_reported_and_is_no_fault(content: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A line made hard is named first, at its place; a sentence for the therapist is not the client's."""
    hard = "How often: externally rotating necessitates considerable glenohumeral stabilization capability."
    form, rules = content / "en" / "form.toml", content / "en" / "rules.toml"
    _spoil(form, "How often did your shoulder blade pull back?", hard)
    _spoil(rules, "Warning sign reported: {sign}.", f"{hard} {hard}")
    assert main(["check", str(content)]) == FINE
    said = [line for line in capsys.readouterr().out.split("\n") if not line.startswith("note: ")]
    assert said[0].startswith(f"{content / 'en'}: reading ease of the client's words ")
    line = next(number for number, text in enumerate(form.read_text("utf-8").split("\n"), 1) if hard in text)
    assert said[1].startswith(f"  least readable: {form}:{line}:7: -")
    assert not any("rules.toml" in text for text in said[1:2])
    assert said[-2] == f"{content}: fine"
