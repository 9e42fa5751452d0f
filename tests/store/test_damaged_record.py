"""One flipped bit in an old record: it is said, nobody is shut out, and the right copy is taken back."""

import shutil
from datetime import timedelta
from pathlib import Path

import pytest

from coach.cli import main
from coach.model.answers_file import Answers
from coach.store.client_folder import read_client_folder
from coach.store.client_store import ClientStore
from coach.store.client_summary import summary_of
from coach.store.record_damage import FINGERPRINT
from coach.store.therapist.check_client import check_profile
from coach.toml.diagnostic import FileFault
from tests.clocks import START
from tests.demo.pristine import copy_pristine
from tests.plans import shipped
from tests.screens.plain.output_lines import run_with_answers


@pytest.fixture(scope="module")
def trained(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A client after three sessions, with progress.toml sealed; never written to again."""
    folder = copy_pristine(tmp_path_factory.mktemp("trained") / "demo") / "tern"
    for day in (0, 2, 4):
        assert run_with_answers(folder, Answers(), lambda _: None, START + timedelta(days=day))
    return folder


@pytest.fixture
def client(trained: Path, tmp_path: Path) -> Path:
    """A copy of that client."""
    return Path(shutil.copytree(trained, tmp_path / "tern"))


def _flip(path: Path, at: int) -> bytes:
    content = path.read_bytes()
    path.write_bytes(content[:at] + bytes([content[at] ^ 2]) + content[at + 1 :])
    return content


@pytest.mark.parametrize("part", range(1, 20))
def test_the_programme_goes_on_from_where_it_stood(client: Path, part: int) -> None:
    before = ClientStore.read(client, shipped()).folded_progress
    old = sorted((client / "records").iterdir())[0]
    content = _flip(old, len(old.read_bytes()) * part // 20)
    store = ClientStore.read(client, shipped())
    assert store.progress == store.folded_progress == before
    assert [one.path.name for one in store.folder.notices] == [old.name]
    assert any(fault.path == old for fault in check_profile(client, shipped()))
    if store.folder.damaged:
        assert summary_of(client, shipped()).damaged == (old.name,)
    assert run_with_answers(client, Answers(), lambda _: None, START + timedelta(days=6))
    after = ClientStore.read(client, shipped())
    assert after.progress.sessions == before.sessions + 1
    old.write_bytes(content)
    restored = ClientStore.read(client, shipped())
    assert restored.folder.notices == ()
    assert restored.folded_progress == after.progress


def test_old_records_without_hashes_do_not_shut_the_client_out_either(demo_profiles: Path) -> None:
    """Format 1: what can no longer be read was sealed, and progress.toml still says what it led to."""
    client = demo_profiles / "plover"
    store = ClientStore.read(client, shipped())
    store.save(START)
    old = sorted((client / "records").iterdir())[3]
    old.write_bytes(old.read_bytes().replace(b"started", b"svarted"))
    assert ClientStore.read(client, shipped()).progress == store.progress


def test_without_a_seal_it_is_refused_and_the_copy_in_a_backup_is_named(client: Path) -> None:
    old = sorted((client / "records").iterdir())[0]
    _flip(old, 400)
    (client / FINGERPRINT).unlink()
    with pytest.raises(FileFault, match="restore a backup"):
        _ = ClientStore.read(client, shipped()).progress


def test_an_instruction_signed_later_counts(client: Path) -> None:
    old = sorted((client / "records").iterdir())[0]
    _flip(old, 400)
    assert read_client_folder(client).damaged
    with (client / "prescription.toml").open("a", encoding="utf-8") as file:
        file.write(
            f"\n[[sign_offs]]\nat = {(START + timedelta(days=9)).isoformat()}\n"
            'initials = "KB"\nwhat = "freeze_load"\nreason = "sore"\n'
        )
    assert ClientStore.read(client, shipped()).progress.frozen


def test_a_record_cut_short_later_is_damage_too(client: Path) -> None:
    """It ends with a whole mark, and the seal shows that it held more."""
    old = sorted((client / "records").iterdir())[0]
    content = old.read_bytes()
    old.write_bytes(content[: content.index(b"\n", content.index(b"# whole", 3000)) + 1])
    before = ClientStore.read(client, shipped())
    assert before.folder.damaged
    assert before.progress.sessions == 3


def test_a_pipe_named_as_a_record_is_no_fine_client(
    demo_profiles: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    import os

    client = Path(shutil.copytree(demo_profiles / "tern", tmp_path / "wren"))
    (client / "records").mkdir(exist_ok=True)
    os.mkfifo(client / "records" / "2026-11-01T100000.toml")
    assert main(["check", str(client)]) == 1
    assert "not an ordinary file" in capsys.readouterr().out
