"""Content that is looked at while somebody exchanges its files."""

import shutil
from pathlib import Path

import pytest

from coach.authoring import draft
from coach.authoring.cause_order import order_by_cause
from coach.authoring.draft import Draft, EditedFolder, read_draft
from coach.content_files.content_folder import content_folder
from coach.toml.diagnostic import whole_file


@pytest.fixture
def edited(tmp_path: Path) -> EditedFolder:
    copied = shutil.copytree(content_folder(), tmp_path / "content", ignore=shutil.ignore_patterns("schema"))
    return EditedFolder(copied)


@pytest.mark.parametrize("error", [KeyError("row"), IndexError("no first"), FileNotFoundError("gone")])
def test_what_no_longer_fits_because_files_are_exchanged_is_no_fault_of_the_program(
    edited: EditedFolder, monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    """The last good screen stays, and the next look reads them again."""

    def exchanged(*_: object) -> object:
        (edited.folder / "en" / "row.toml").unlink(missing_ok=True)
        raise error

    monkeypatch.setattr(draft, "check_folder", exchanged)
    (told,) = edited.check()
    assert "were being exchanged" in told.what
    (edited.folder / "en" / "row.toml").touch()
    monkeypatch.setattr(draft, "load_content", exchanged)
    assert read_draft(edited, "en", Draft()).faults == (told,)


def test_a_fault_of_the_program_over_files_that_stay_is_one(
    edited: EditedFolder, monkeypatch: pytest.MonkeyPatch
) -> None:
    def wrong(*_: object) -> object:
        raise KeyError("row")

    monkeypatch.setattr(draft, "check_folder", wrong)
    with pytest.raises(KeyError):
        edited.check()


def test_a_fault_of_the_folder_itself_has_its_place_among_the_others(tmp_path: Path) -> None:
    of_folder = whole_file(tmp_path, "there are no messages here", "a folder for each language")
    of_file = whole_file(tmp_path / "en" / "row.toml", "the file is empty", "its keys")
    assert order_by_cause(tmp_path, [of_file, of_folder]) == (of_folder, of_file)
