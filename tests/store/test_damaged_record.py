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
from coach.store.programme.upgrade import upgrade
from coach.store.records.record_damage import FINGERPRINT
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
    (fault,) = (one for one in check_profile(client, shipped()) if one.path == old)
    assert "coach restore" in fault.fix
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


@pytest.mark.parametrize("name", ["curlew", "plover"])
def test_other_line_ends_in_every_file_are_no_damage(demo_profiles: Path, name: str) -> None:
    """As a version control leaves them on Windows, with records of the first format and of the newer one."""
    client = demo_profiles / name
    before = ClientStore.read(client, shipped())
    assert before.progress.sessions > 3
    for file in client.rglob("*.toml"):
        file.write_bytes(file.read_bytes().replace(b"\n", b"\r\n"))
    after = ClientStore.read(client, shipped())
    assert (after.progress, after.folded_progress) == (before.progress, before.folded_progress)
    assert (after.folder.damaged, after.folder.notices) == ((), ())
    assert not check_profile(client, shipped())


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


@pytest.mark.parametrize("newest", [False, True])
def test_a_record_that_has_gone_is_missed(client: Path, newest: bool) -> None:
    """Deleted by another program, or not brought yet: what it led to still counts, and it is said."""
    before = ClientStore.read(client, shipped()).folded_progress
    gone = sorted((client / "records").iterdir())[-1 if newest else 0]
    content = gone.read_bytes()
    gone.unlink()
    store = ClientStore.read(client, shipped())
    assert store.progress == store.folded_progress == before
    assert [one.path for one in store.folder.notices] == [gone]
    assert any(fault.path == gone and "missing" in fault.what for fault in check_profile(client, shipped()))
    assert summary_of(client, shipped()).damaged == (gone.name,)
    assert run_with_answers(client, Answers(), lambda _: None, START + timedelta(days=6))
    assert ClientStore.read(client, shipped()).progress.sessions == before.sessions + 1
    gone.write_bytes(content)
    assert ClientStore.read(client, shipped()).folder.notices == ()


@pytest.mark.parametrize("name", ["2026-11-28T180500 (copy).toml", "the third.toml"])
def test_a_record_under_another_name_is_not_missed(client: Path, name: str) -> None:
    gone = sorted((client / "records").iterdir())[-1]
    gone.rename(gone.with_name(name))
    assert ClientStore.read(client, shipped()).folder.notices == ()


@pytest.mark.parametrize("gone", [1, 3])
@pytest.mark.parametrize("progress", ["deleted", "older", "edited"])
def test_a_record_is_missed_whatever_became_of_progress(client: Path, progress: str, gone: int) -> None:
    """An older progress.toml, put back with the older records or alone, knows nothing of a stop since."""
    for one in sorted((client / "records").iterdir())[-gone:]:
        one.unlink()
    file = client / "progress.toml"
    if progress == "deleted":
        file.unlink()
    elif progress == "older":
        file.write_text(file.read_text(encoding="utf-8").replace("sessions = 3", "sessions = 2"), encoding="utf-8")
    else:
        file.write_text("format = 1\n", encoding="utf-8")
    with pytest.raises(FileFault, match="nothing else tells what it held") as raised:
        _ = ClientStore.read(client, shipped()).progress
    assert len(raised.value.faults) == gone
    assert summary_of(client, shipped()).fault
    assert sum("this record is missing" in fault.what for fault in check_profile(client, shipped())) == gone
    (client / FINGERPRINT).unlink()  # as the message says, if it was on purpose
    file.unlink(missing_ok=True)
    assert ClientStore.read(client, shipped()).progress.sessions == 3 - gone


def test_an_older_progress_is_not_taken_for_current(client: Path) -> None:
    """The records say more, and they count."""
    file = client / "progress.toml"
    before = ClientStore.read(client, shipped()).progress
    file.write_text(file.read_text(encoding="utf-8").replace("sessions = 3", "sessions = 2"), encoding="utf-8")
    assert ClientStore.read(client, shipped()).progress == before


@pytest.mark.parametrize("number", [0, 1])
def test_a_record_with_the_content_of_another_is_damaged(client: Path, number: int) -> None:
    """A copy under the wrong name: its own content is nowhere, and the other would count twice."""
    files = sorted((client / "records").iterdir())
    before = ClientStore.read(client, shipped()).folded_progress
    shutil.copyfile(files[number + 1], files[number])
    store = ClientStore.read(client, shipped())
    assert [one.path for one in store.folder.damaged] == [files[number]]
    assert store.folded_progress == before
    assert any(fault.path == files[number] for fault in check_profile(client, shipped()))


def test_records_that_changed_their_names_are_all_there(client: Path) -> None:
    first, second, _ = sorted((client / "records").iterdir())
    one, other = first.read_bytes(), second.read_bytes()
    first.write_bytes(other)
    second.write_bytes(one)
    assert ClientStore.read(client, shipped()).folder.damaged == ()


@pytest.mark.parametrize("progress_too", [False, True])
@pytest.mark.parametrize("of_programme", [False, True])
def test_an_instruction_that_has_gone_is_missed(client: Path, of_programme: bool, progress_too: bool) -> None:
    """There is no session without a freeze that the client was told of."""
    before = (client / "prescription.toml").read_text(encoding="utf-8")
    signed_at = (START + timedelta(days=5)).isoformat()
    signed = f'[[sign_offs]]\nat = {signed_at}\ninitials = "KB"\nwhat = "freeze_load"\nreason = "sore"\n'
    (client / "prescription.toml").write_text(f"{before}\n{signed}", encoding="utf-8")
    if of_programme:
        upgrade(client)
    ClientStore.read(client, shipped()).save(START + timedelta(days=5))
    assert ClientStore.read(client, shipped()).progress.frozen
    if of_programme:
        next((client / "instructions").iterdir()).unlink()
    else:
        (client / "prescription.toml").write_text(before, encoding="utf-8")
    if progress_too:
        (client / "progress.toml").unlink()
    with pytest.raises(FileFault, match="is missing, and where the client stands") as raised:
        ClientStore.read(client, shipped())
    assert signed_at in str(raised.value)
    assert any("is missing" in fault.what for fault in check_profile(client, shipped()))
    (client / FINGERPRINT).unlink()  # as the message says, if it was on purpose
    assert not ClientStore.read(client, shipped()).progress.frozen


@pytest.mark.parametrize("part", range(20))
def test_a_damaged_seal_calls_no_record_damaged(client: Path, part: int) -> None:
    seal = client / FINGERPRINT
    before = ClientStore.read(client, shipped()).progress
    _flip(seal, len(seal.read_bytes()) * part // 20)
    store = ClientStore.read(client, shipped())
    assert store.folder.notices == ()
    assert store.progress == before


def test_a_version_of_the_programme_that_has_gone_is_missed(client: Path) -> None:
    """The one before does not hold in silence."""
    upgrade(client)
    first, second = (client / "programme" / name for name in ("0001.toml", "0002.toml"))
    second.write_text(first.read_text(encoding="utf-8").replace("sets = 3", "sets = 2"), encoding="utf-8")
    ClientStore.read(client, shipped()).save(START + timedelta(days=5))
    assert ClientStore.read(client, shipped()).is_current
    second.unlink()
    with pytest.raises(FileFault, match="this version of the programme is missing") as raised:
        ClientStore.read(client, shipped())
    assert raised.value.faults[0].path == second
    (client / FINGERPRINT).unlink()
    assert ClientStore.read(client, shipped()).prescription.dose.sets == 3
