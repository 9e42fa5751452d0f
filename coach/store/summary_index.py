"""An index of what was read of each client of a folder, on this computer's own disk: derived, and free to be deleted.

It is a database in the user's cache, one for each folder of clients. A row holds a client's files' fingerprint and
what was read from them as text; what that text says, the index does not know. A row counts only as long as what it
was made from is the same, which the reader asks for, and only if its own hash fits. Whatever is wrong with the index,
a database that is damaged, locked or cannot be written, clients are read as if there were none.
"""

import os
import sqlite3
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager, suppress
from hashlib import blake2b, sha256
from pathlib import Path

from msgspec import Struct

from coach.system import open_bytes
from coach.toml.user_cache import cache_folder, private_folder

_FOLDER = "caseloads"
_LAYOUT = 1
_WAITS_S = 5.0  # for another process that is writing; it writes for some milliseconds
_FORGOTTEN_DAYS = 90  # an index that nobody has opened for so long goes: what it holds are health data
_TABLE = """
CREATE TABLE IF NOT EXISTS client (
  name BLOB PRIMARY KEY, basis TEXT NOT NULL, files TEXT NOT NULL, since INTEGER NOT NULL, until TEXT NOT NULL,
  read BLOB NOT NULL, hash BLOB NOT NULL
) WITHOUT ROWID
"""
Find = Callable[[str], "Row | None"]


class Row(Struct, frozen=True):
    """What was read of one client: `basis` and `files` are fingerprints of all that it was read from.

    It holds from `since`, in seconds since 1970, to the day before `until`, in the order of the calendar.
    """

    name: str
    basis: str
    files: str
    since: int
    until: str
    read: str

    @property
    def hash(self) -> bytes:
        """A hash of all of it."""
        values = (self.name, self.basis, self.files, self.since, self.until, self.read)
        parts = [os.fsencode(str(one)) for one in values]
        digest = blake2b(digest_size=16)
        for part in parts:
            digest.update(b"%d " % len(part) + part)
        return digest.digest()


def index_path(clients: Path) -> Path:
    """Where the index of a folder of clients is; its name says nothing of the folder's."""
    name = sha256(os.fsencode(clients.resolve())).hexdigest()[:32]
    return cache_folder(os.environ) / _FOLDER / f"{name}.sqlite"


class SummaryIndex:
    """The index of one folder of clients. No method raises anything for what is wrong with the database."""

    def __init__(self, clients: Path) -> None:
        self._path: Path | None = None
        self._is_damaged = False
        with suppress(OSError, RuntimeError):  # no home, or not ours
            path = index_path(clients)
            _forget_old(private_folder(path.parent), path)
            self._path = path

    @contextmanager
    def reading(self) -> Iterator[Find]:
        """Yields a function that finds the row of a client by name; None where there is none that is whole."""
        with self._opened() as database:
            whole = database is not None

            def find(name: str) -> Row | None:
                nonlocal whole
                row = None
                if whole and database is not None:
                    whole = False
                    with self._noting_faults():
                        row, whole = _found(database, name), True
                return row

            yield find

    def write(self, rows: Iterable[Row]) -> None:
        """Put rows in the place of those of the same clients, all of them or none."""
        values = [
            (os.fsencode(one.name), one.basis, one.files, one.since, one.until, one.read.encode(), one.hash)
            for one in rows
        ]
        with self._opened() as database, self._noting_faults():
            if database is not None and values:
                database.execute("BEGIN IMMEDIATE")
                database.executemany("REPLACE INTO client VALUES (?, ?, ?, ?, ?, ?, ?)", values)
                database.execute("COMMIT")

    def keep_only(self, names: Iterable[str]) -> None:
        """Delete the rows of all other clients."""
        wanted = {os.fsencode(name) for name in names}
        with self._opened() as database, self._noting_faults():
            if database is not None:
                gone = [row for row in database.execute("SELECT name FROM client") if row[0] not in wanted]
                if gone:
                    database.execute("BEGIN IMMEDIATE")
                    database.executemany("DELETE FROM client WHERE name = ?", gone)
                    database.execute("COMMIT")

    @contextmanager
    def _opened(self) -> Iterator[sqlite3.Connection | None]:
        database: sqlite3.Connection | None = None
        for _ in range(2):  # one that is damaged is taken away, and a new one made
            with self._noting_faults():
                database = _connected(self._path) if self._path is not None else None
            if database is not None:
                break
            self._take_damaged_away()
        if database is None:
            yield None
            return
        try:
            with closing(database):
                yield database
        finally:
            self._take_damaged_away()

    def _take_damaged_away(self) -> None:
        """Windows refuses it while the database is open anywhere; then it is done when the last is closed."""
        if self._is_damaged and self._path is not None:
            with suppress(OSError):
                self._path.unlink(missing_ok=True)
                self._is_damaged = False

    @contextmanager
    def _noting_faults(self) -> Iterator[None]:
        """Note that a database is damaged; go on without one that is locked or cannot be read or written."""
        try:
            yield
        except (sqlite3.Error, OSError, ValueError) as error:
            if self._path is not None and _is_damage(error):
                self._is_damaged = True
            else:
                self._path = None


def _is_damage(error: Exception) -> bool:
    """Whether a new database would do better: not where this one is locked, or where nothing can be written."""
    if isinstance(error, OSError):
        return isinstance(error, PermissionError)
    lacks_table = getattr(error, "sqlite_errorcode", None) == sqlite3.SQLITE_ERROR
    return lacks_table or not isinstance(error, sqlite3.OperationalError)


def _connected(path: Path) -> sqlite3.Connection:
    """The database, which only its owner can read; a new one where there is none, or one of another layout."""
    os.close(open_bytes(path, os.O_RDWR | os.O_CREAT, 0o600))
    database = sqlite3.connect(path, timeout=_WAITS_S, isolation_level=None)
    try:
        layout = database.execute("PRAGMA user_version").fetchone()[0]
        if layout not in (0, _LAYOUT):
            raise sqlite3.DatabaseError("another layout")
        database.execute("PRAGMA synchronous = NORMAL")
        if layout == 0:
            database.execute(_TABLE)
            database.execute(f"PRAGMA user_version = {_LAYOUT}")
    except BaseException:
        database.close()
        raise
    return database


def _found(database: sqlite3.Connection, name: str) -> Row | None:
    query = "SELECT basis, files, since, until, read, hash FROM client WHERE name = ?"
    row = database.execute(query, (os.fsencode(name),)).fetchone()
    if row is None:
        return None
    basis, files, since, until, read, kept_hash = row
    if not isinstance(read, bytes):
        return None
    found = Row(name, basis, files, since, until, read.decode())
    return found if found.hash == kept_hash else None


def _forget_old(folder: Path, opened: Path) -> None:
    """Delete indexes that were not opened for long, and note that this one is."""
    oldest = time.time() - _FORGOTTEN_DAYS * 24 * 3600
    for path in folder.glob("*.sqlite"):
        with suppress(OSError):
            if path == opened:
                os.utime(path)
            elif path.stat().st_mtime < oldest:
                path.unlink()
