"""Words that must not be said to a client, and notes on questions and cues."""

import shutil
from pathlib import Path

import pytest

from coach.authoring.check_content import check_content
from coach.authoring.check_wording import wording_notes
from coach.cli import main
from coach.commands.support.output import FINE
from coach.content_files.content_folder import content_folder
from coach.toml.diagnostic import render
from tests.authoring.test_check import spoil


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the content."""
    return Path(shutil.copytree(content_folder(), tmp_path / "content", ignore=shutil.ignore_patterns("schema")))


PURPOSE = '"You train the small muscles that turn your arm outward and keep the shoulder steady."'
ZWECK = "Schulterblatt"
# what is written instead of the purpose of a position, and what is found in it
SAID: tuple[tuple[str, str], ...] = (
    ("This cures your tendonitis.", "'cures' is a promise"),
    ("This helps against Tendinopathy.", "'Tendinopathy' is the name of an illness"),
    ("Your diagnosis is clear.", "'diagnosis' is a diagnosis"),
    ("You will be PAIN-FREE soon.", "'PAIN-FREE' is a promise"),
    ("Good for a frozen shoulder.", "'frozen shoulder' is the name of an illness"),
    ("You will recover faster.", "'recover faster' is a promise"),
    ("You will be free of pain.", "'be free of pain' is a promise"),
    ("You will be pain  free.", "'pain free' is a promise"),
    ("You will be pain\u00a0free.", "'pain free' is a promise"),
    ("You will be pain\u2011free.", "'pain-free' is a promise"),
)


@pytest.mark.parametrize(("text", "phrase"), SAID)
def test_a_promise_a_diagnosis_and_an_illness_are_found_in_what_a_client_reads(
    folder: Path, text: str, phrase: str
) -> None:
    spoil(folder / "en" / "external_rotation.toml", PURPOSE, f'"{text}"')
    found = check_content(folder)
    assert phrase in found[0].what
    assert found[0].path == folder / "en" / "external_rotation.toml"
    assert found[0].fix  # the reason


def test_they_are_found_in_german_and_in_rules_for_the_client_only(folder: Path) -> None:
    spoil(folder / "de" / "form.toml", "Wie oft ging das Schulterblatt", "Wie oft heilt das Schulterblatt")
    spoil(folder / "en" / "rules.toml", "No set was done: nothing was judged", "Impingement: nothing was judged")
    (fault,) = check_content(folder)
    assert "'heilt' is a promise" in fault.what
    spoil(folder / "en" / "rules.toml", "No set was done, so nothing changes.", "Healing takes time.")
    assert [fault.path.parent.name for fault in check_content(folder)] == ["en", "de"]


@pytest.mark.parametrize(
    "words",
    [
        "keine  Schmerzen mehr",
        "keine\u00a0Schmerzen mehr",
        "Sehnenentzu\u0308ndung",
        "Sehnenentzuendung",
        "SEHNENENTZÜNDUNG",
        "frei von Schmerzen",
    ],
)
def test_they_are_found_however_they_are_spaced_and_spelt(folder: Path, words: str) -> None:
    spoil(folder / "de" / "form.toml", "Wie oft ging das Schulterblatt", f"{words}: Wie oft ging das Schulterblatt")
    assert any("is a promise" in one.what or "name of an illness" in one.what for one in check_content(folder))


def test_a_part_of_another_word_and_what_may_be_said_are_left_alone(folder: Path) -> None:
    spoil(folder / "en" / "external_rotation.toml", PURPOSE, '"Health and secured manicures. It gives no diagnosis."')
    assert [render(fault) for fault in check_content(folder)] == []


def test_notes_are_no_faults(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = list(wording_notes(folder))
    spoil(folder / "en" / "form.toml", "How often did your body turn or lean?", "How often did your body not turn?")
    spoil(
        folder / "en" / "external_rotation.toml",
        "Keep the small gap at your elbow.",
        "Squeeze the muscle, then turn.",
    )
    spoil(folder / "en" / "internal_rotation.toml", "Point your chest at one spot.", "Stand still. Look ahead.")
    texts = {(note.path, note.text) for note in before}
    new = [note for note in wording_notes(folder) if (note.path, note.text) not in texts]
    told = "\n".join(note.what for note in new)
    assert "'not' in a question: the opposite answer is easily given" in told
    assert "'then': this cue may be two instructions" in told
    assert "'Squeeze': this cue turns attention to the body" in told
    assert "this cue has two sentences, so it may be two instructions" in told
    assert main(["check", str(folder)]) == FINE
    assert "note: " in capsys.readouterr().out
    assert check_content(folder) == ()


def test_a_cue_that_no_question_asks_for_is_noted(folder: Path) -> None:
    spoil(folder / "exercises" / "row.toml", '"trunk", ', "")
    notes = [note for note in wording_notes(folder) if "no session shows this cue" in note.what]
    assert [note.path.name for note in notes] == ["row.toml"]
    assert notes[0].what.startswith("no question of position 0 asks about trunk_turned")


def test_nothing_in_the_shipped_content_is_to_be_thought_about_twice() -> None:
    assert [f"{note.path}:{note.line}: {note.what}" for note in wording_notes(content_folder())] == []
