"""Nothing in the content is out of the proof's reach, and it says where each text stands and which pages show it."""

import re
import shutil
from functools import cache
from pathlib import Path

import pytest

from coach.cli import main
from coach.commands.support.output import FAULTS, FINE
from coach.content_files.content_folder import content_folder, languages, load_content
from coach.model.content import Content
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.screens.coach.message_pages import SHOWN_BY, WHOLE, leaves_by_file, message_pages, page_name
from coach.screens.coach.message_places import MessageKey, shown_texts
from coach.toml.reader import read_model
from tests.authoring.test_check import place_of
from tests.clocks import START
from tests.commands.helps import commands

SHIPPED = content_folder()
CLIENT = (
    read_model(SHIPPED / "stand_in" / "profile.toml", Profile),
    read_model(SHIPPED / "stand_in" / "prescription.toml", Prescription),
)
# What the client reads in a session of some sort, but for which of it a page is drawn only with other values.
NOT_DRAWN = {
    # A client who faces the anchor reads that instead of how far to turn; another turn can be set for each client.
    ("external_rotation.toml", "position.90.place.3"),
    ("row.toml", "position.0.place.3"),
}


@cache
def content_in(language: str) -> Content:
    return load_content(SHIPPED, language)


@cache
def drawn(language: str) -> dict[MessageKey, set[str]]:
    """The pages on which each message is drawn, for every exercise and position."""
    content, pages = content_in(language), dict[MessageKey, set[str]]()
    for exercise in content.exercises:
        for shown in shown_texts(content, exercise, *CLIENT, START):
            for message in shown.messages:
                pages.setdefault(message, set()).add(shown.page)
    return pages


def every_message(language: str) -> set[MessageKey]:
    return {(file, leaf.name) for file, leaves in leaves_by_file(content_in(language).messages) for leaf in leaves}


@pytest.mark.parametrize("language", languages(SHIPPED))
def test_every_message_is_on_a_page(language: str) -> None:
    """Drawn as a client sees it, or in a table of the file that it is in."""
    content = content_in(language)
    tables = {name: page for exercise in content.exercises for name, page in message_pages(content, exercise).items()}
    listed = {line for page in tables.values() for line in page.listed}
    texts = {
        (file, leaf.name): f"{leaf.name}: {leaf.value}"
        for file, leaves in leaves_by_file(content.messages)
        for leaf in leaves
    }
    assert len(texts) > 1400
    assert {key for key, text in texts.items() if key not in drawn(language) and text not in listed} == set()
    assert set(drawn(language)) <= set(texts)


def test_what_belongs_to_an_entry_is_drawn_as_the_client_sees_it() -> None:
    """Each setup line, cue, question, check, sign and reason, and each of the urgencies."""
    of_entries = {
        (file, key)
        for file, key in every_message("en")
        if (file.removesuffix(".toml") in content_in("en").exercises and key != "title")
        or (file == "form.toml" and key.startswith("question."))
        or (file == "safety.toml" and not key.endswith((".fails", ".about")) and key != "trouble.not_sure")
        or (
            file == "rules.toml"
            and (key.endswith((".client", ".client_not_sure", ".client_to_come")) or key.startswith("missing."))
        )
        or (file == "client.toml" and key.startswith(("feedback.", "confirm.", "rest.next", "end.did")))
    }
    assert len(of_entries) > 300
    assert of_entries - set(drawn("en")) == NOT_DRAWN


def test_each_rule_has_a_page_of_its_own_with_its_reason() -> None:
    for rule in content_in("en").rules:
        pages = drawn("en")["rules.toml", f"rule.{rule.name}.client"]
        assert [page for page in pages if f" rule.{rule.name}" in page], rule.name


def test_each_table_of_each_file_says_which_command_shows_it() -> None:
    """No row that nothing has, no table without a row, and no command that is none."""
    files = {file: {leaf.key[0] for leaf in leaves} for file, leaves in leaves_by_file(content_in("en").messages)}
    of_exercises = {f"{name}.toml" for name in content_in("en").exercises}
    assert {file: set(tables) for file, tables in SHOWN_BY.items()} == {
        file: tables for file, tables in files.items() if file not in of_exercises
    }
    # `coach` alone is the front door, and no command.
    named = {word for tables in SHOWN_BY.values() for row in tables.values() for word in row.split()[1:2]}
    assert named <= set(commands())


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """A copy of the content with one exercise, so that few pages are looked through."""
    others = (path.name for path in (SHIPPED / "exercises").iterdir() if path.stem != "row")
    folder = Path(shutil.copytree(SHIPPED, tmp_path / "content", ignore=shutil.ignore_patterns(*others, "schema")))
    conditions = folder / "conditions.toml"
    text = re.sub(r"^closed_above_deg = .*\n", "", conditions.read_text(encoding="utf-8"), flags=re.MULTILINE)
    conditions.write_text(text, encoding="utf-8")
    return folder


def found(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert main(["proof", *arguments]) == FINE
    return capsys.readouterr().out


def test_a_text_is_found_in_its_file_and_on_its_page(small: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = found(capsys, str(small), "--find", "LEAVE ROOM BETWEEN YOUR")
    path = small / "en" / "row.toml"
    line, column = place_of(path, '"Leave room between your')
    assert f"{path}:{line}:{column}: position.0.cues.shoulder_hitched.text: Leave room between your" in told
    assert "shown on: row 0° cue.shoulder_hitched." in told


def test_a_text_is_found_as_it_is_on_the_screen_with_its_values(
    small: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = found(capsys, str(small), "--find", "Band 100 cm über dem Boden")
    path = small / "de" / "row.toml"
    line, column = place_of(path, '"Befestigen Sie das Band {anchor_height_cm} cm')
    assert f"{path}:{line}:{column}: position.0.place.1: Befestigen Sie das Band {{anchor_height_cm}} cm" in told
    assert "\n  shown on: row 0° setup.place\n" in told


def test_a_text_that_no_page_draws_is_found_with_the_command_that_shows_it(
    small: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = found(capsys, str(small), "--find", "this is a simulation and no promise")
    assert "therapist.toml:" in told
    assert "shown on: messages.therapist.forecast (coach forecast)" in told
    assert "limits.toml:" in found(capsys, str(small), "--find", "cue_each_set_until")


def test_a_clinics_own_words_are_found_in_its_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    own = tmp_path / "clinic" / "en" / "external_rotation.toml"
    own.parent.mkdir(parents=True)
    own.write_text('format = 1\n\n[position.0]\nfirst_cue = "Out, slowly."\n', encoding="utf-8")
    told = found(capsys, str(tmp_path / "clinic"), "--find", "Out, slowly")
    assert f"{own}:4:13: position.0.first_cue: Out, slowly." in told
    assert "shown on: external_rotation 0° " in told


def test_what_is_nowhere_and_where_there_is_nothing(
    small: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["proof", str(tmp_path / "none"), "--find", "x"]) == FAULTS
    assert "there are no messages here" in capsys.readouterr().err
    assert main(["proof", str(small), "--find", "no such words anywhere"]) == FAULTS
    assert "No text has these words" in capsys.readouterr().err


def test_every_message_is_listed_by_name_with_its_page(small: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = found(capsys, str(small), "--list").splitlines()
    content = load_content(small, "en")
    names = [f"{file} {leaf.name}" for file, leaves in leaves_by_file(content.messages) for leaf in leaves]
    assert [line.partition(": ")[0] for line in lines] == names
    assert [line for line in lines if not line.partition(": ")[2]] == []
    assert f"row.toml title: {page_name('row.toml', WHOLE)}" in lines
    assert "row.toml position.0.reach: row 0° reach" in [line.partition(",")[0] for line in lines]
