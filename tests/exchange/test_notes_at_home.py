"""What a therapist writes into a visit goes home, and is said to do so where it is written and where it is sent."""

import io
import zipfile
from datetime import UTC, datetime
from pathlib import Path

import pytest

from coach.cli import main
from coach.content_files.content_folder import content_folder, load_content
from coach.exchange.enrolment import new_enrolment
from coach.exchange.taking_home.going_home import packed_client
from coach.screens.therapist.visit.visit_basis import visit_subject
from coach.screens.therapist.visit.visit_form import visit_fields
from coach.store.therapist.steering import read_snapshot
from tests.clocks import START, FakeClock

NOTE = "wary of the arm since the fall"


def test_the_note_of_a_visit_is_in_what_is_taken_home(demo_profiles: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("coach.store.clock.now", FakeClock())
    client = demo_profiles / "plover"
    assert main(["visit", str(client), f"note={NOTE}", "--initials", "KB", "--yes"]) == 0
    packed = packed_client(client, new_enrolment(client, datetime(2026, 11, 29, tzinfo=UTC)))
    with zipfile.ZipFile(io.BytesIO(packed)) as archive:
        visits = [archive.read(name).decode() for name in archive.namelist() if "/visits/" in name]
    assert any(NOTE in text for text in visits)


@pytest.mark.parametrize("command", ["take-home", "send", "visit"])
def test_the_help_says_that_notes_can_be_read_at_home(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main([command, "--help"])
    said = " ".join(capsys.readouterr().out.split())
    assert "notes" in said
    assert "only the clinic needs" not in said
    assert any(words in said for words in ("can be read at home", "can be read there"))


@pytest.mark.parametrize(("language", "home"), [("en", "goes home"), ("de", "nach Hause")])
def test_beside_every_free_text_of_a_visit_it_says_so(demo_profiles: Path, language: str, home: str) -> None:
    basis = visit_subject(
        read_snapshot(demo_profiles / "plover"), load_content(content_folder(), language), START
    ).basis
    fields = {field.key: field for field in visit_fields(basis)}
    needs = [key for key in fields if key.startswith("needs.") and key.endswith(".what")]
    for key in ("note", "agreed", "discharge.what", *needs):
        assert home in fields[key].how, key
