"""A client moves from format 1 to format 2: the decisions stay, nothing is lost, and half of it is finished later."""

import os
import shutil
from pathlib import Path

import pytest

from coach.cli import main
from coach.model.progress import Progress
from coach.store.client_paths import INSTRUCTIONS, KEPT, PRESCRIPTION
from coach.store.client_store import ClientStore
from coach.store.programme import upgrade as upgrade_module
from coach.store.programme.upgrade import upgrade
from coach.toml import new_file
from coach.toml.diagnostic import FileFault
from tests.store.programme.by_hand import Clock, content, open_live

BEFORE = ("heron", "plover", "avocet", "tern")
FROZEN = Path(__file__).parents[1] / "format_1"


def without_names(progress: Progress) -> Progress:
    """A progress without what only programmes have."""
    return progress.model_copy(update={"name": None, "trained_at": None})


@pytest.fixture(params=[*BEFORE, "of the first version"])
def client(request: pytest.FixtureRequest, demo_profiles: Path, tmp_path: Path) -> Path:
    """Each client of format 1."""
    if request.param in BEFORE:
        return Path(demo_profiles / request.param)
    return Path(shutil.copytree(FROZEN, tmp_path / "frozen"))


def test_every_decision_and_where_the_client_stands_stay(client: Path) -> None:
    before = ClientStore.read(client, content())
    records = {file.name: file.read_bytes() for file in (client / "records").glob("*.toml")}
    text = (client / PRESCRIPTION).read_bytes()
    assert upgrade(client)
    after = ClientStore.read(client, content())
    assert after.folder.prescribed.programme is not None
    assert without_names(after.folded_progress) == before.folded_progress
    assert [one.decision for one in after.sessions] == [one.decision for one in before.sessions]
    assert after.agreement == before.agreement
    assert {file.name: file.read_bytes() for file in (client / "records").glob("*.toml")} == records
    assert (client / KEPT / PRESCRIPTION).read_bytes() == text
    assert not (client / PRESCRIPTION).exists()
    assert not upgrade(client)


@pytest.mark.parametrize("written", [0, 1, 2])
def test_an_upgrade_that_was_broken_off_is_finished_by_the_next(
    demo_profiles: Path, written: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At every moment the folder is of one format or the other, with all that was signed."""
    client, done = demo_profiles / "heron", [0]
    before = ClientStore.read(client, content()).folded_progress

    def breaks_off(path: Path, data: bytes) -> None:
        if done[0] == written:
            raise OSError("broken off")
        done[0] += 1
        write_new(path, data)

    write_new = new_file.write_new
    with monkeypatch.context() as patched:
        patched.setattr(upgrade_module, "write_new", breaks_off)
        with pytest.raises(OSError, match="broken off"):
            upgrade(client)
    assert without_names(ClientStore.read(client, content()).folded_progress) == before
    assert upgrade(client)
    assert without_names(ClientStore.read(client, content()).folded_progress) == before


def test_an_instruction_cut_off_after_an_upgrade_is_told(demo_profiles: Path) -> None:
    """A sync program that leaves half of a file leaves whole lines of it, which are TOML as well."""
    upgrade(demo_profiles / "heron")
    signed = next((demo_profiles / "heron" / INSTRUCTIONS).iterdir())
    whole = signed.read_text(encoding="utf-8").splitlines(keepends=True)
    for lines in range(1, len(whole)):
        signed.write_text("".join(whole[:lines]), encoding="utf-8")
        with pytest.raises(FileFault, match="its end, with its mark, is missing"):
            ClientStore.read(demo_profiles / "heron", content())


def test_the_first_session_moves_the_client(demo_profiles: Path) -> None:
    client = demo_profiles / "tern"
    live = open_live(client, Clock())
    assert (live.state.record.format, live.state.several) == (2, False)
    assert (client / "programme" / "0001.toml").exists()


def test_the_command_shows_first_and_writes_on_request(
    demo_profiles: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["upgrade", str(demo_profiles)]) == 0
    told = capsys.readouterr().out
    assert "heron: would write" in told
    assert "curlew: is of the new format" in told
    assert not (demo_profiles / "heron" / KEPT).exists()
    assert main(["upgrade", str(demo_profiles / "heron"), "--write"]) == 0
    assert (demo_profiles / "heron" / KEPT).exists()
    assert "heron: wrote" in capsys.readouterr().out


def test_a_client_that_cannot_be_read_is_named_and_left(
    demo_profiles: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    broken = demo_profiles / "plover" / PRESCRIPTION
    broken.write_text(broken.read_text(encoding="utf-8").replace("positions", "positons"), encoding="utf-8")
    assert main(["upgrade", str(demo_profiles), "--write"]) == 1
    assert "nearest: positions" in capsys.readouterr().err
    assert not (demo_profiles / "plover" / KEPT).exists()
    assert (demo_profiles / "heron" / KEPT).exists()


def test_a_pipe_in_the_place_of_the_old_prescription_is_not_waited_for(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    client, real = demo_profiles / "curlew", Path.read_bytes
    (client / KEPT).mkdir()
    (client / KEPT / PRESCRIPTION).write_text("format = 1\n", encoding="utf-8")
    os.mkfifo(client / PRESCRIPTION)

    def answering(path: Path) -> bytes:
        assert not path.is_fifo(), "a read that never ends"
        return real(path)

    monkeypatch.setattr(Path, "read_bytes", answering)
    assert not upgrade(client)
    assert (client / PRESCRIPTION).exists()
