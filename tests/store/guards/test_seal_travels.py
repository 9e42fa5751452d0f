"""A stop that the client's folder still tells is not lost on the way into a backup or home."""

import shutil
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from coach.cli import main
from coach.exchange.enrolment import new_enrolment
from coach.exchange.taking_home.coming_home import bring_home
from coach.exchange.taking_home.going_home import packed_client
from coach.model.answers_file import Answers
from coach.store.backups import backup
from coach.store.backups.restore import contents
from coach.store.client_paths import PROGRESS
from coach.store.client_store import ClientStore
from coach.store.client_summary import summary_of
from coach.store.home.places import home_folder
from coach.store.programme.upgrade import upgrade
from coach.store.records.record_damage import FINGERPRINT
from coach.store.therapist.check_client import check_profile
from coach.toml.diagnostic import FileFault
from tests.clocks import START
from tests.demo.pristine import copy_pristine
from tests.plans import shipped
from tests.screens.plain.output_lines import run_with_answers, told

AT = datetime(2026, 11, 29, tzinfo=UTC)


@pytest.fixture(scope="module")
def stopped(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A client after a session and another with chest pain; never written to again."""
    folder = copy_pristine(tmp_path_factory.mktemp("stopped") / "demo") / "tern"
    upgrade(folder)
    assert run_with_answers(folder, Answers(), lambda _: None, START - timedelta(days=2))
    assert told(folder, ("", "p", "4", "y", "")).record.ended is not None
    return folder


@pytest.fixture
def client(stopped: Path, tmp_path: Path) -> Path:
    """A copy of that client."""
    (tmp_path / "clients").mkdir()
    return Path(shutil.copytree(stopped, tmp_path / "clients" / "tern"))


def older(client: Path) -> None:
    """An older copy of the record is put over it."""
    record = sorted((client / "records").iterdir())[-1]
    content = record.read_bytes()
    record.write_bytes(content[: content.index(b"\n", content.index(b"# whole")) + 1])
    (client / PROGRESS).unlink()


def gone(client: Path) -> None:
    """The records are deleted."""
    shutil.rmtree(client / "records")
    (client / PROGRESS).unlink()


LOSSES = (older, gone)


@pytest.mark.parametrize("lose", LOSSES)
def test_a_backup_says_what_is_damaged_and_the_restored_client_stays_closed(
    client: Path, lose: Callable[[Path], None], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    lose(client)
    assert main(["backup", str(client), "--to", str(tmp_path / "b.zip")]) == 1
    said = capsys.readouterr().err
    assert "records/" in said
    assert "The backup holds the files as they are" in said
    assert main(["restore", str(tmp_path / "b.zip"), "--to", str(tmp_path / "r")]) == 0
    back = tmp_path / "r" / "tern"
    assert (back / FINGERPRINT).read_bytes() == (client / FINGERPRINT).read_bytes()
    assert check_profile(back, shipped())
    assert summary_of(back, shipped()).fault
    with pytest.raises(FileFault, match="nothing else tells what it held"):
        _ = ClientStore.read(back, shipped()).progress


def test_of_a_folder_of_clients_the_damaged_one_is_named(
    stopped: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    clients = Path(shutil.copytree(stopped.parent, tmp_path / "all"))
    gone(clients / "tern")
    assert main(["backup", str(clients), "--to", str(tmp_path / "b.zip")]) == 1
    assert "2 faults in these files" in capsys.readouterr().err


def test_where_nothing_is_damaged_nothing_is_said(
    client: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert main(["backup", str(client), "--to", str(tmp_path / "b.zip")]) == 0
    assert "fault" not in capsys.readouterr().err
    assert main(["restore", str(tmp_path / "b.zip"), "--to", str(tmp_path / "r")]) == 0
    store = ClientStore.read(tmp_path / "r" / "tern", shipped())
    assert (store.is_current, store.progress.status) == (True, "review")


def test_a_backup_without_the_seal_is_restored(client: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """As earlier versions wrote it."""
    (client / FINGERPRINT).unlink()
    monkeypatch.setattr(backup, "FORMAT", "# format = 1\n")
    assert main(["backup", str(client), "--to", str(tmp_path / "b.zip")]) == 0
    assert contents(tmp_path / "b.zip").sessions == {"tern": 2}
    assert main(["restore", str(tmp_path / "b.zip"), "--to", str(tmp_path / "r")]) == 0
    assert ClientStore.read(tmp_path / "r" / "tern", shipped()).progress.status == "review"


@pytest.mark.parametrize("made", ["folder", "link"])
def test_what_stands_in_the_place_of_the_seal_goes_nowhere(client: Path, made: str, tmp_path: Path) -> None:
    (client / FINGERPRINT).unlink()
    if made == "folder":
        (client / FINGERPRINT).mkdir()
        (client / FINGERPRINT / "a").touch()
    else:
        (client / FINGERPRINT).symlink_to(client / "profile.toml")
    assert main(["backup", str(client), "--to", str(tmp_path / "b.zip")]) == (made == "link")
    assert main(["restore", str(tmp_path / "b.zip"), "--to", str(tmp_path / "r")]) == 0


@pytest.mark.parametrize("lose", LOSSES)
def test_nobody_is_taken_home_without_what_was_lost(
    client: Path, lose: Callable[[Path], None], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    lose(client)
    assert main(["take-home", str(client), "--to", str(tmp_path / "home")]) == 1
    assert "nothing else tells what it held" in capsys.readouterr().err
    packed = tmp_path / "tern.zip"
    packed.write_bytes(packed_client(client, new_enrolment(client, AT)))
    with pytest.raises(FileFault, match="nothing else tells what it held"):
        bring_home(packed)
    assert not list(home_folder().iterdir())


@pytest.mark.parametrize("lost", [None, 0, 1])
def test_what_progress_holds_goes_home_too(client: Path, lost: int | None, tmp_path: Path) -> None:
    """A record that is missing and that progress.toml was derived from."""
    if lost is not None:
        sorted((client / "records").iterdir())[lost].unlink()
    packed = tmp_path / "tern.zip"
    packed.write_bytes(packed_client(client, new_enrolment(client, AT)))
    home = ClientStore.read(bring_home(packed), shipped())
    assert home.progress.status == "review"
    assert len(home.folder.damaged) == (lost is not None)
