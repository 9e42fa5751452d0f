"""What `coach new` begins: files in which the check finds exactly what is still to be filled in."""

import shutil
from pathlib import Path
from typing import get_args

import pytest

from coach.authoring.check import check_folder
from coach.cli import main
from coach.commands.support.output import FAULTS, FINE, USAGE
from coach.content_files.content_folder import content_folder, load_content
from coach.content_files.unfilled import UNFILLED
from coach.model.option_names import Direction
from coach.toml.diagnostic import FileFault
from tests.demo.pristine import DEMO

MARK = f'"{UNFILLED}"'


@pytest.fixture
def mine(tmp_path: Path) -> Path:
    """A copy of the content."""
    return Path(shutil.copytree(content_folder(), tmp_path / "mine"))


def marks_in(folder: Path, name: str) -> list[tuple[Path, int, int]]:
    """File, line and column, from 1, of each mark that is no part of a comment."""
    found = []
    for path in folder.rglob(f"{name}.toml"):
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            if MARK in line and not line.startswith("#"):
                found.append((path, number, line.index(MARK) + 1))
    return sorted(found)


@pytest.mark.parametrize("direction", get_args(Direction))
def test_the_check_lists_what_is_to_be_filled_in_and_nothing_else(mine: Path, direction: str) -> None:
    assert main(["new", "exercise", "fresh", "--motion", direction, "--to", str(mine)]) == FINE
    marks = marks_in(mine, "fresh")
    assert len(marks) > 30
    faults = check_folder(mine)
    assert sorted((fault.path, fault.line, fault.column) for fault in faults) == marks
    assert {fault.what.partition(" ")[2] for fault in faults} == {"is still to be filled in"}
    assert [fault for fault in faults if not fault.expected] == []


def test_a_clinic_begins_one_next_to_its_clients(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without --to, in the folder of the clients; until it is filled in, no session begins with a part of it."""
    client = Path(shutil.copytree(DEMO / "tern", tmp_path / "tern"))
    monkeypatch.chdir(tmp_path)
    assert main(["new", "exercise", "fresh", "--position", "30"]) == FINE
    clinic = tmp_path / "clinic"
    faults = check_folder(clinic)
    assert sorted((fault.path, fault.line, fault.column) for fault in faults) == marks_in(clinic, "fresh")
    assert check_folder(tmp_path) == faults
    assert main(["setup", str(client)]) == FAULTS


def test_messages_with_a_mark_are_not_shown_to_a_client(mine: Path) -> None:
    """Also where all else is filled in, so that nothing else refuses the content."""
    assert main(["new", "exercise", "fresh", "--motion", "pull", "--to", str(mine)]) == FINE
    shutil.copy(mine / "exercises" / "row.toml", mine / "exercises" / "fresh.toml")
    with pytest.raises(FileFault, match="still to be filled in"):
        load_content(mine, "en")


def test_nothing_is_overwritten(mine: Path, capsys: pytest.CaptureFixture[str]) -> None:
    left = mine / "de" / "fresh.toml"
    left.write_text("mine", encoding="utf-8")
    assert main(["new", "exercise", "fresh", "--to", str(mine)]) == FAULTS
    assert "it exists already and is not overwritten" in capsys.readouterr().err
    assert list(mine.rglob("fresh.toml")) == [left]
    assert left.read_text(encoding="utf-8") == "mine"
    before = {path: path.read_bytes() for path in mine.rglob("*") if path.is_file()}
    assert main(["new", "content", str(mine)]) == FAULTS
    assert {path: path.read_bytes() for path in mine.rglob("*") if path.is_file()} == before


@pytest.mark.parametrize(
    ("typed", "code", "told"),
    [
        (["Side Press"], USAGE, ("cannot be the name of an exercise", "nearest: side_press")),
        (["row"], USAGE, ("row is taken",)),
        (["form"], USAGE, ("form is taken",)),
        (["wide", "--motion", "raise", "--position", "45"], USAGE, ("its position is 0", "--position")),
        (["wide", "--position", "91"], USAGE, ("91 degrees", "to 90")),
        (
            ["wide", "--to", "nowhere"],
            FAULTS,
            ("neither a content folder nor a clinic's", "coach new content nowhere"),
        ),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)
def test_what_cannot_be_begun_is_told(
    mine: Path, typed: list[str], code: int, told: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    before = sorted(mine.rglob("*"))
    assert main(["new", "exercise", *typed, *([] if "--to" in typed else ["--to", str(mine)])]) == code
    said = capsys.readouterr().err
    assert [part for part in told if part not in said] == []
    assert sorted(mine.rglob("*")) == before


def test_inside_a_copy_of_the_content_no_clinic_is_begun(
    mine: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(mine)
    assert main(["new", "exercise", "fresh"]) == FAULTS
    assert "for this content: --to ." in capsys.readouterr().err
    assert not (mine / "clinic").exists()
    assert main(["new", "exercise", "fresh", "--to", "."]) == FINE


def test_a_copy_of_the_content_is_whole_and_right(tmp_path: Path) -> None:
    copy = tmp_path / "mine"
    assert main(["new", "content", str(copy)]) == FINE
    inside = {path.relative_to(copy): path.read_bytes() for path in copy.rglob("*") if path.is_file()}
    shipped = content_folder()
    assert inside == {path.relative_to(shipped): path.read_bytes() for path in shipped.rglob("*") if path.is_file()}
    assert check_folder(copy) == ()
