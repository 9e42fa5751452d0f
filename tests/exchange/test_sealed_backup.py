"""A sealed backup tells nothing without its passphrase, and comes back whole or not at all."""

import io
import os
import random
import stat
import struct
import sys
import tracemalloc
import unicodedata
import zipfile
from functools import partial
from pathlib import Path
from typing import BinaryIO
from unittest import mock

import pytest
from nacl.pwhash import argon2id

from coach.cli import main
from coach.exchange import sealed_backup
from coach.exchange.sealed_backup import MAGIC, Cost, Sealed, SealingFile, opener, unsealed
from coach.store.backups.backup import Member, pack
from coach.store.backups.restore import restore
from coach.toml.diagnostic import FileFault
from tests.demo.pristine import TREE
from tests.journeys.terminal import Terminal
from tests.store.packed import gathered

WORDS = "harbour wedge clay seven"
# The least that the library takes, so that tests spend no time on it; the command takes its own.
CHEAP = Cost(argon2id.OPSLIMIT_MIN, argon2id.MEMLIMIT_MIN)
GOOD = (Member("tern/profile.toml", b"format = 1\n"), Member("tern/records/a.toml", b"x" * 1000))
HEAD = len(MAGIC) + 32


def sealed(data: bytes, words: str = WORDS) -> bytes:
    out = io.BytesIO()
    sealing_file = SealingFile(out, words, CHEAP)
    sealing_file.write(data)
    sealing_file.finish()
    return out.getvalue()


def written_backup(path: Path, members: tuple[Member, ...] = GOOD) -> Path:
    with path.open("wb") as file:
        sealing_file = SealingFile(file, WORDS, CHEAP)
        pack(members, sealing_file)
        sealing_file.finish()
    return path


def passphrase_file(folder: Path, text: str = f"{WORDS}\n") -> Path:
    path = folder / "words"
    path.write_text(text)
    path.chmod(0o600)
    return path


def test_the_command_seals_and_restores_to_the_byte(
    demo_profiles: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sealed_backup, "USUAL_COST", CHEAP)
    words, path = str(passphrase_file(tmp_path)), str(tmp_path / "all.sealed")
    assert main(["backup", str(demo_profiles), "--passphrase-file", words, "--to", path]) == 0
    assert "Whoever loses the passphrase loses the backup" in capsys.readouterr().out
    whole = Path(path).read_bytes()
    assert [one for one in (b"tern", b"heron", b"profile.toml", b"PK\x01\x02") if one in whole] == []
    assert stat.S_IMODE(Path(path).stat().st_mode) == 0o600
    assert main(["restore", path, "--passphrase-file", words, "--to", str(tmp_path / "back")]) == 0
    found = {str(one.relative_to(tmp_path / "back")): one for one in (tmp_path / "back").rglob("*") if one.is_file()}
    assert {name: one.read_bytes() for name, one in found.items()} == {
        one.name: one.data for one in gathered(demo_profiles)
    }
    before = set(tmp_path.iterdir())
    passphrase_file(tmp_path, "harbour wedge clay eight")
    assert main(["restore", path, "--passphrase-file", words, "--to", str(tmp_path / "other")]) == 1
    assert "it does not open with this passphrase" in capsys.readouterr().err
    assert set(tmp_path.iterdir()) == before


def test_a_byte_order_mark_is_no_part_of_a_passphrase(
    demo_profiles: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Some editors on Windows write one; who types the same words must open the backup all the same."""
    monkeypatch.setattr(sealed_backup, "USUAL_COST", CHEAP)
    words, path = passphrase_file(tmp_path, f"\ufeff{WORDS}\r\n"), tmp_path / "a.sealed"
    assert main(["backup", str(demo_profiles / "tern"), "--passphrase-file", str(words), "--to", str(path)]) == 0
    with opener(path, WORDS)() as file:
        assert file.read(4) == b"PK\x03\x04"


def test_it_can_be_opened_by_hand_with_the_library_alone(tmp_path: Path) -> None:
    """The lines of DEVELOPERS.md, which are all that is needed beside this program's own ZIP format."""
    data = written_backup(tmp_path / "a").read_bytes()
    told = (
        (TREE / "DEVELOPERS.md").read_text("utf-8").partition("<!-- unseal -->\n```python\n")[2].partition("```")[0]
    )
    names: dict[str, object] = {"data": data, "passphrase": WORDS}
    exec(told, names)
    opened = names["opened"]
    assert isinstance(opened, bytes)
    with zipfile.ZipFile(io.BytesIO(opened)) as archive:
        assert {one.name: archive.read(one.name) for one in GOOD} == {one.name: one.data for one in GOOD}
    assert not {"coach", "SealingFile"} & set(told.replace(".", " ").split())


def test_altered_or_torn_anywhere_it_is_refused_and_nothing_is_written(tmp_path: Path) -> None:
    whole, chance = written_backup(tmp_path / "good").read_bytes(), random.Random(5)
    path, new = tmp_path / "a.sealed", tmp_path / "new"
    for number in sorted(chance.sample(range(len(whole)), 100)):
        spoilt = bytearray(whole)
        spoilt[number] ^= chance.randrange(1, 256)
        if number >= len(MAGIC) + 16 and number < HEAD:
            continue  # another cost of the key: the test below
        for data in (bytes(spoilt), whole[:number], whole + whole[number:]):
            path.write_bytes(data)
            if data[: len(MAGIC)] != MAGIC and not data.startswith(MAGIC[:18]):
                continue  # it does not say that it is sealed: no backup
            with pytest.raises(FileFault):
                restore(path, new, opened=unsealed(path, lambda: WORDS))
            assert {one.name for one in tmp_path.iterdir()} == {"good", "a.sealed"}


def parts_of(data: bytes, size: int) -> list[bytes]:
    boxes = data[HEAD:]
    return [boxes[at : at + size] for at in range(0, len(boxes), size)]


def test_parts_cannot_be_exchanged_left_out_or_added(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each is a good box of the same key; only its place is another."""
    monkeypatch.setattr(sealed_backup, "_PART", 100)
    monkeypatch.setattr(sealed_backup, "_BOX", 116)
    plain = os.urandom(450)
    whole, path = sealed(plain), tmp_path / "a"
    path.write_bytes(whole)
    with opener(path, WORDS)() as file:
        assert file.read() == plain
        file.seek(250)
        assert file.read(90) == plain[250:340]
    one, two, three, four, five = parts_of(whole, 116)
    orders = [[two, one, three, four, five], [one, three, two, four, five], [one, two, three, five],
              [one, two, three, four], [one, one, two, three, four, five], [one, two, three, four, five, five],
              [five], []]  # fmt: skip
    for order in orders:
        path.write_bytes(whole[:HEAD] + b"".join(order))
        with pytest.raises(Sealed), opener(path, WORDS)() as file:
            file.read()


def with_cost(data: bytes, operations: int, memory: int) -> bytes:
    return data[: HEAD - 16] + struct.pack("<2Q", operations, memory) + data[HEAD:]


@pytest.mark.parametrize(
    ("operations", "memory"), [(3, 2**63), (2**40, 8192), (0, 8192), (3, 0), (5, 2**28), (3, 2**31)]
)
def test_a_file_cannot_ask_for_more_memory_or_time_than_is_bearable(
    operations: int, memory: int, tmp_path: Path
) -> None:
    path = tmp_path / "a"
    path.write_bytes(with_cost(sealed(b"x"), operations, memory))
    with pytest.raises(Sealed, match="altered"):
        opener(path, WORDS)


def test_what_is_wrong_is_told_apart(tmp_path: Path) -> None:
    whole, path = sealed(os.urandom(200_000)), tmp_path / "a"
    for data, words, says in (
        (whole, "another one of them", "does not open with this passphrase"),
        (whole[:-1], WORDS, "its end is missing"),
        (whole[:150_000], WORDS, "its end is missing"),
        (whole[:30], WORDS, "its end is missing"),
        (whole.replace(b"backup 1\n", b"backup 2\n", 1), WORDS, "sealed by a newer Steady Arc"),
    ):
        path.write_bytes(data)
        with pytest.raises(FileFault, match=says):
            unsealed(path, partial(str, words))


def test_two_ways_of_typing_an_umlaut_are_one(tmp_path: Path) -> None:
    """A Mac's file may hold a letter and its dots apart; the other computer's keyboard gives one sign."""
    words = "Übungsband über zwölf"
    (tmp_path / "a").write_bytes(sealed(b"held", unicodedata.normalize("NFD", words)))
    with opener(tmp_path / "a", unicodedata.normalize("NFC", words))() as file:
        assert file.read() == b"held"


def test_the_same_backup_sealed_twice_has_nothing_in_common() -> None:
    one, other = sealed(b"the same" * 100), sealed(b"the same" * 100)
    assert one[len(MAGIC) : len(MAGIC) + 16] != other[len(MAGIC) : len(MAGIC) + 16]
    assert one[HEAD:] != other[HEAD:]


@pytest.mark.parametrize(
    ("text", "mode", "says"),
    [
        (WORDS, 0o644, "others than you can read this file"),
        (WORDS, 0o620, "others than you can read this file"),
        ("\n", 0o600, "there is no passphrase in it"),
        ("", 0o600, "there is no passphrase in it"),
        ("\ufeff", 0o600, "there is no passphrase in it"),
        ("short", 0o600, "the passphrase has 5 characters"),
        ("x" * 2000, 0o600, "there is no passphrase in it"),
    ],
)
def test_a_passphrase_file_that_will_not_do_is_refused(
    text: str, mode: int, says: str, demo_profiles: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = passphrase_file(tmp_path, text)
    words.chmod(mode)
    to = tmp_path / "a.sealed"
    given = ["backup", str(demo_profiles / "tern"), "--passphrase-file", str(words), "--to", str(to)]
    assert main(given) == 1
    assert says in capsys.readouterr().err
    assert not to.exists()


def test_a_pipe_as_a_passphrase_file_is_not_waited_for(demo_profiles: Path, tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    given = ["backup", str(demo_profiles / "tern"), "--passphrase-file", str(tmp_path / "pipe")]
    assert main([*given, "--to", str(tmp_path / "a")]) == 1


def test_typed_in_a_terminal(demo_profiles: Path, tmp_path: Path) -> None:
    """Twice, and never shown."""
    given = ["backup", str(demo_profiles / "tern"), "--sealed", "--to", str(tmp_path / "a.sealed")]
    terminal = Terminal([sys.executable, "-m", "coach", *given], TREE)
    terminal.shows("Passphrase:")
    terminal.child.send(f"{WORDS}\n")
    terminal.shows("The same again:")
    terminal.child.send(f"{WORDS}\n")
    assert terminal.ends() == 0
    assert "harbour" not in terminal.text
    with opener(tmp_path / "a.sealed", WORDS)() as file:
        assert file.read(4) == b"PK\x03\x04"


@pytest.mark.parametrize(
    ("typed", "code", "says"),
    [
        (["short", WORDS, WORDS], 0, "shorter than 12 characters"),
        ([WORDS, "harbour wedge clay eight", WORDS, WORDS], 0, "The two are not the same"),
        (["short", "short", "short"], 2, "shorter than 12 characters"),
        ([EOFError], 2, ""),
        ([KeyboardInterrupt], 130, ""),
    ],
)
def test_a_slip_is_asked_again(
    typed: list[str | type[BaseException]],
    code: int,
    says: str,
    demo_profiles: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr(sealed_backup, "USUAL_COST", CHEAP)
    monkeypatch.setattr("coach.screens.terminal.is_terminal", lambda: True)
    monkeypatch.setattr("getpass.getpass", mock.Mock(side_effect=typed))
    assert main(["backup", str(demo_profiles / "tern"), "--sealed", "--to", str(tmp_path / "a.sealed")]) == code
    assert says in capsys.readouterr().out
    assert (tmp_path / "a.sealed").exists() == (code == 0)


def test_without_a_terminal_nothing_is_asked(
    demo_profiles: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["backup", str(demo_profiles / "tern"), "--sealed", "--to", str(tmp_path / "a.sealed")]) == 2
    assert "--passphrase-file" in capsys.readouterr().err
    assert [one.name for one in tmp_path.iterdir()] == ["demo_profiles"]


def _peak_of_sealing(path: Path, clients: int) -> int:
    data = os.urandom(2000)
    tracemalloc.start()
    try:
        with path.open("wb") as file:
            sealing_file = SealingFile(file, WORDS, CHEAP)
            pack((Member(f"{one // 10}/{one % 10}.toml", data) for one in range(clients * 10)), sealing_file)
            sealing_file.finish()
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


def _peak_of_reading(file: BinaryIO) -> int:
    tracemalloc.start()
    try:
        while file.read(10_000):
            pass
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


def test_memory_does_not_grow_with_the_number_of_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Five times as many, written and read."""
    monkeypatch.setattr("coach.store.backups.zip_writer._IN_MEMORY", 10_000)
    monkeypatch.setattr("coach.store.backups.zip_writer._CHUNK", 10_000)
    few, many = (_peak_of_sealing(tmp_path / str(clients), clients) for clients in (30, 150))
    assert many < few * 1.1
    with opener(tmp_path / "30", WORDS)() as small, opener(tmp_path / "150", WORDS)() as large:
        assert _peak_of_reading(large) < _peak_of_reading(small) * 1.1
