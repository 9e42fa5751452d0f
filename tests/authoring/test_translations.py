"""The notes on what a translation forgot."""

import shutil
from pathlib import Path

import pytest

from coach.authoring.check import check_folder
from coach.authoring.check_translations import translation_notes
from coach.content_files.content_folder import content_folder
from tests.authoring.test_own_entries import write_clinic


@pytest.fixture
def content(tmp_path: Path) -> Path:
    """The exercises and their words, without all other files."""
    for name in ("exercises", "en", "de"):
        shutil.copytree(content_folder() / name, tmp_path / name)
    return tmp_path


def change(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def notes(folder: Path) -> list[str]:
    return [f"{note.path.relative_to(folder)}: {note.what}" for note in translation_notes(folder)]


def test_the_shipped_languages_have_no_note() -> None:
    assert notes(content_folder()) == []


def test_a_forgotten_line_a_lost_value_and_half_a_sentence(content: Path) -> None:
    change(content / "de/row.toml", "Die Brust zeigt immer auf denselben Punkt.", "Point your chest at one spot.")
    change(content / "de/rules.toml", "über Ihrer Grenze von {limit}", "über Ihrer Grenze")
    change(content / "en/rules.toml", "Pain {pain} of 10, limit {limit}. Stopped", "Pain {pain} of 10. Stopped")
    change(content / "en/safety.toml", "if it has one, until it is slack.", "if it has one")
    assert notes(content) == [
        "de/row.toml: this is word for word as in en",
        "de/rules.toml: {limit} is in this text in en, and not here",
        "en/rules.toml: {limit} is in this text in de, and not here",
        "en/safety.toml: this sentence has no full stop at its end",
    ]


def test_two_files_that_were_exchanged(content: Path) -> None:
    (content / "en/row.toml").rename(content / "other")
    (content / "de/row.toml").rename(content / "en/row.toml")
    (content / "other").rename(content / "de/row.toml")
    assert notes(content) == [
        "de/row.toml: this reads like the language of the folder en",
        "en/row.toml: this reads like the language of the folder de",
    ]


def test_a_language_that_is_a_copy_so_far_is_left_alone(content: Path) -> None:
    shutil.copytree(content / "en", content / "nl")
    assert notes(content) == []


def test_a_folder_of_a_clinic_with_a_capital_letter_is_told(tmp_path: Path) -> None:
    write_clinic(tmp_path / "Clinic", {"limits.toml": "format = 1\n[limits]\npain_max = 3\n"})
    shutil.copytree(content_folder() / "stand_in", tmp_path / "stand_in")
    assert "this folder is not read" in [fault.what for fault in check_folder(tmp_path)]
