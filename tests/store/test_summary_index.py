"""An index that is damaged, locked or cannot be written is gone on without, and what is said is never wrong."""

import os
import shutil
import sqlite3
import stat
import time
from collections.abc import Callable
from contextlib import closing
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from coach.model.caseload import ClientSummary
from coach.store import caseload, summary_index
from coach.store.client_paths import clients_in
from coach.store.client_summary import summary_of
from coach.store.summary_index import Row, SummaryIndex, index_path
from tests.demo.pristine import DEMO
from tests.plans import shipped
from tests.store.whole_caseload import read_caseload

ROW = Row("tern", "basis", "files", 5, "2026-11-28", "what was read")


@pytest.fixture
def few(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The clients, all of whose files count as old enough to be kept, with their index."""
    monkeypatch.setattr("coach.files_fingerprint._SETTLED_NS", -(10**18))
    monkeypatch.setattr(summary_index, "_WAITS_S", 0.0)
    for name in ("avocet", "plover", "tern"):
        shutil.copytree(DEMO / name, tmp_path / "few" / name)
    read_caseload(tmp_path / "few", shipped())
    return tmp_path / "few"


def _anew(folder: Path) -> tuple[ClientSummary, ...]:
    return tuple(summary_of(folder / name, shipped()) for name in clients_in(folder))


def _rows(folder: Path) -> int:
    with closing(sqlite3.connect(index_path(folder))) as database:
        return int(database.execute("SELECT count(*) FROM client").fetchone()[0])


def _said(path: Path, *statements: str) -> None:
    with closing(sqlite3.connect(path)) as database:
        for one in statements:
            database.execute(one)
        database.commit()


def _cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def _in_the_middle(path: Path) -> None:
    data = bytearray(path.read_bytes())
    data[4096:] = os.urandom(len(data) - 4096)
    path.write_bytes(bytes(data))


_DAMAGE: tuple[Callable[[Path], object], ...] = (
    lambda path: path.write_bytes(b""),
    lambda path: path.write_bytes(b"{}"),
    lambda path: path.write_bytes(bytes(5000)),
    _cut,
    _in_the_middle,
    Path.unlink,
    lambda path: _said(path, "PRAGMA user_version = 9"),
    lambda path: _said(path, "DROP TABLE client"),
    lambda path: _said(path, "DROP TABLE client", "CREATE TABLE client (name)"),
    lambda path: _said(path, "UPDATE client SET read = 7"),
    lambda path: _said(path, "UPDATE client SET read = x'7b7d'"),
)


class _Open(sqlite3.Connection):
    """A database that counts among those that are open until it is closed."""

    count = 0

    def __init__(self, *values: Any, **named: Any) -> None:
        super().__init__(*values, **named)
        _Open.count += 1

    def close(self) -> None:
        super().close()
        _Open.count -= 1


@pytest.mark.parametrize("is_windows", [False, True])
@pytest.mark.parametrize("damage", _DAMAGE)
def test_a_damaged_index_is_made_anew_and_says_nothing_wrong(
    few: Path, damage: Callable[[Path], object], is_windows: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also where an open file cannot be deleted, as on Windows."""
    damage(index_path(few))
    connect, unlink = sqlite3.connect, Path.unlink

    def refused(path: Path, missing_ok: bool = False) -> None:
        if _Open.count:
            raise PermissionError(13, "it is in use", str(path))
        unlink(path, missing_ok)

    if is_windows:
        monkeypatch.setattr(_Open, "count", 0)
        monkeypatch.setattr(sqlite3, "connect", partial(connect, factory=_Open))
        monkeypatch.setattr(Path, "unlink", refused)
    assert read_caseload(few, shipped()) == _anew(few)
    read_caseload(few, shipped())
    assert _rows(few) == 3


def test_a_byte_changed_anywhere_says_nothing_wrong(few: Path) -> None:
    """Most changes a database does not notice itself."""
    path, right = index_path(few), _anew(few)
    whole = path.read_bytes()
    for at in range(0, len(whole), len(whole) // 40):
        spoilt = bytearray(whole)
        spoilt[at] ^= 1
        path.write_bytes(bytes(spoilt))
        assert read_caseload(few, shipped()) == right


def test_every_part_of_a_row_is_in_its_hash(tmp_path: Path) -> None:
    """What a row says counts only with all that it was made from."""
    index = SummaryIndex(tmp_path)
    index.write([ROW])
    with index.reading() as find:
        assert find("tern") == ROW
    for column in ("basis", "files", "since", "until"):
        index.write([ROW])
        _said(index_path(tmp_path), f"UPDATE client SET {column} = {column} || '1'")
        with index.reading() as find:
            assert find("tern") is None, column


def test_what_is_kept_of_a_hundred_thousand_clients_is_read(tmp_path: Path) -> None:
    """As many bytes, in a thousand rows: more than 64 MiB were written once and never read again."""
    index, names, summaries = SummaryIndex(tmp_path), [str(number) for number in range(1000)], "x" * 100_000
    index.write(Row(name, "basis", "files", 5, "2026-11-28", summaries) for name in names)
    with index.reading() as find:
        assert [name for name in names if find(name) is None] == []


def test_a_locked_index_is_gone_on_without(few: Path) -> None:
    """As while another process is stopped in the middle of writing."""
    with closing(sqlite3.connect(index_path(few), isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        assert read_caseload(few, shipped()) == _anew(few)
        other.execute("ROLLBACK")
    assert _rows(few) == 3


def test_an_index_that_cannot_be_written_is_read_and_left(few: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On a disk that is full or read-only, as the database says it."""
    (few / "tern" / "notes.txt").write_text("so that this client is read again")
    connected = summary_index._connected

    def full(path: Path) -> sqlite3.Connection:
        database = connected(path)
        database.execute("PRAGMA query_only = ON")
        return database

    monkeypatch.setattr(summary_index, "_connected", full)
    before = index_path(few).read_bytes()
    assert read_caseload(few, shipped()) == _anew(few)
    assert index_path(few).read_bytes() == before


@pytest.mark.parametrize("kind", [Path.mkdir, os.mkfifo])
def test_something_else_in_its_place_hinders_nobody(few: Path, kind: Callable[[Path], None]) -> None:
    index_path(few).unlink()
    kind(index_path(few))
    assert read_caseload(few, shipped()) == _anew(few)


def test_without_a_cache_there_is_no_index(few: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("no folder")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "file"))
    assert read_caseload(few, shipped()) == _anew(few)


def test_an_index_that_nobody_opens_is_forgotten(few: Path, tmp_path: Path) -> None:
    """It holds health data."""
    index = index_path(few)
    long_ago = time.time() - 91 * 24 * 3600
    for days, there in ((89, True), (91, False)):
        os.utime(index, (long_ago + (91 - days) * 24 * 3600,) * 2)
        SummaryIndex(tmp_path)
        assert index.exists() == there


def test_it_is_its_owners_alone(few: Path) -> None:
    assert stat.S_IMODE(index_path(few).stat().st_mode) == 0o600


def test_two_readers_at_once_agree(few: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A second reading begins and ends in the middle of the first."""
    index_path(few).unlink()
    inner: list[tuple[ClientSummary, ...]] = []
    monkeypatch.setattr(caseload, "_WRITTEN_AT_ONCE", 1)

    def another(done: int, _: int) -> None:
        if done == 1:
            inner.append(read_caseload(few, shipped()))

    assert read_caseload(few, shipped(), another) == inner[0] == _anew(few)
    assert _rows(few) == 3
