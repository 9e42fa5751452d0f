"""A record that was cut off after it had been saved is told from one whose last key press was never saved."""

import shutil
from pathlib import Path

import pytest

from coach.cli import main
from coach.exchange.what_goes import files_of
from coach.store.client_store import ClientStore
from coach.store.client_summary import summary_of
from coach.store.records.record_file import read_raw
from coach.store.therapist.check_client import check_profile
from coach.toml.diagnostic import FileFault
from tests.plans import shipped


@pytest.fixture
def client(demo_profiles: Path) -> Path:
    """The demo client with a programme, who has no seal."""
    return demo_profiles / "curlew"


def newest(client: Path) -> Path:
    return sorted((client / "records").iterdir())[-1]


def test_a_record_cut_in_the_middle_is_not_shortened_and_closed(client: Path) -> None:
    record = newest(client)
    content = record.read_bytes()[:14000]
    record.write_bytes(content)
    with ClientStore.locked(client, shipped()) as store:
        assert [raw.path for raw in store.folder.damaged] == [record]
        with pytest.raises(FileFault, match="cut off after it had been saved"):
            _ = store.progress
    assert record.read_bytes() == content
    assert any("cut off" in fault.what for fault in check_profile(client, shipped()))
    assert "cut off" in summary_of(client, shipped()).fault
    assert f"records/{record.name}" not in files_of(client)


def test_the_end_of_one_key_press_is_moved_aside_as_ever(client: Path) -> None:
    record = newest(client)
    content = record.read_bytes()
    record.write_bytes(content + b'\n[[entry]]\nkind = "answer"\nat = 2026-11-')
    raw = read_raw(record, repair=True)
    assert raw.torn_end is not None
    assert record.read_bytes() == content
    store = ClientStore.read(client, shipped())
    assert (store.folder.damaged, store.folder.notices) == ((), ())


def test_an_end_that_was_moved_aside_before_is_told_until_it_is_moved_away(
    client: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As earlier versions did with every end."""
    record = newest(client)
    content = record.read_bytes()
    end = content[:14000].rindex(b"# whole")
    record.write_bytes(content[: content.index(b"\n", end) + 1])
    torn = record.with_suffix(".torn")
    torn.write_bytes(content[content.index(b"\n", end) + 1 : 14000])
    assert main(["check", str(client)]) == 1
    assert "it was cut off after it had been saved" in capsys.readouterr().out
    assert main(["setup", str(client)]) == 0
    assert torn.name in capsys.readouterr().err
    assert torn.name in summary_of(client, shipped()).damaged
    torn.unlink()
    assert not ClientStore.read(client, shipped()).folder.notices


@pytest.mark.parametrize(("size", "says"), [(1000, "is cut off before its first line # whole"), (0, "is empty")])
def test_a_record_without_a_mark_is_said_to_be_cut_off(
    client: Path, size: int, says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is missing in it is not for anybody to fill in."""
    record = newest(client)
    record.write_bytes(record.read_bytes()[:size].rstrip(b"\n"))
    assert main(["check", str(client)]) == 1
    said = capsys.readouterr().out
    assert says in said
    assert "restore a backup" in said
    assert "fill" not in said


def test_one_written_by_hand_has_its_own_faults_too(client: Path, capsys: pytest.CaptureFixture[str]) -> None:
    newest(client).write_text("format = 1\nstarted = 3\n", encoding="utf-8")
    assert main(["check", str(client)]) == 1
    said = capsys.readouterr().out
    assert "is cut off before its first line" in said
    assert "started" in said


@pytest.mark.parametrize(("kind", "says"), [("folder", "this is a folder"), ("link", "this is a link")])
def test_what_stands_in_the_place_of_the_lock_is_said(client: Path, kind: str, says: str) -> None:
    lock = client / ".lock"
    if kind == "folder":
        lock.mkdir()
    else:
        lock.symlink_to(client / "nowhere")
    with pytest.raises(FileFault) as raised, ClientStore.locked(client, shipped()):
        pass
    fault = raised.value.faults[0]
    assert (fault.path, says in fault.what, "room" in fault.fix) == (lock, True, False)


def test_a_folder_in_the_place_of_progress_can_still_be_entered(client: Path) -> None:
    progress = client / "progress.toml"
    progress.unlink()
    progress.mkdir()
    (progress / "a.txt").touch()
    with ClientStore.locked(client, shipped()) as store:
        kept = store.rebuild(store.folder.records[-1].started)
    assert kept is not None
    assert kept.stat().st_mode & 0o777 == 0o700
    shutil.rmtree(kept)
