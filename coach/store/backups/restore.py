"""Restoring a backup into a new folder: every file is compared with its hash, and all are written or none."""

import hashlib
import re
import shutil
import stat
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import BinaryIO

from msgspec import Struct

from coach.store.backups.backup import CONTENTS, FORMATS, MOST_BYTES, Holding, Member, holding, is_name
from coach.store.backups.zip_format import MOST_TIMES, Entry
from coach.store.backups.zip_reader import Spoilt, read_chunks, read_data, read_directory
from coach.store.client_paths import is_client
from coach.toml.diagnostic import FileFault, error_reason, whole_file
from coach.toml.new_file import new_folder, refuse_existing

_LISTED = re.compile(r"([0-9a-f]{64})  (.+)")
_LONGEST_LINE = 8 * 1024  # bytes; 66 and a name of six parts
_KIND = "a file that coach backup wrote"
Opener = Callable[[], BinaryIO]


class _Listed(Struct, frozen=True):
    """A file of a backup, and the hash that the list of contents gives of it."""

    entry: Entry
    digest: str


def unsealed_opener(path: Path) -> Opener:
    """How a backup that is not sealed is opened."""
    return lambda: path.open("rb")


def contents(path: Path) -> Holding:
    """What a backup holds. Raises FileFault where it cannot be restored; the bytes of its files are not looked at."""
    with reporting(path):
        return holding(one.entry.name for one in _files(path, unsealed_opener(path)))


def restore(
    path: Path,
    folder: Path,
    on_holding: Callable[[Holding], None] = lambda _: None,
    on_file: Callable[[int, int], object] = lambda *_: None,
    opened: Opener | None = None,
) -> None:
    """Write what a backup holds into a new folder. Raises FileFault; then there is no new folder.

    In a folder of clients the new folder becomes the client itself, for a caseload sees no client below another
    folder; a backup of several clients is refused there. Elsewhere each client is a folder in the new one. Each file
    is first written next to the new folder and compared with its hash, and all are moved in one step. `on_holding` is
    called with what there is before anything is written, and `on_file` with how many files are written and how many
    there are; while they are counted, with 0 and the count so far. A sealed backup is opened by `opened`.
    """
    refuse_existing(folder)
    top, sizes, open_it = set[str](), [0], opened or unsealed_opener(path)

    def noted() -> Iterator[str]:
        for number, one in enumerate(_files(path, open_it), start=1):
            top.add(one.entry.name.partition("/")[0])
            sizes[0] += one.entry.size
            yield one.entry.name
            on_file(0, number)

    with reporting(path):
        holds = holding(noted())
    among_clients = any(is_client(one) for one in folder.parent.iterdir())
    if among_clients and len(top) != 1:
        what = f"this folder would lie among clients, and the backup holds {len(top)} folders"
        raise FileFault([whole_file(folder, what, "a folder that holds no clients", "restore it to another place")])
    _refuse_too_large(folder, sizes[0])
    on_holding(holds)
    with new_folder(folder) as write:
        for number, one in enumerate(packed_members(path, open_it), start=1):
            write(one.name.partition("/")[2] if among_clients else one.name, one.data)
            on_file(number, holds.files)


def packed_members(path: Path, opened: Opener | None = None) -> Iterator[Member]:
    """Each file of a backup with its bytes, compared with its hash. Raises FileFault."""
    open_it = opened or unsealed_opener(path)
    with reporting(path), open_it() as data:
        for one in _files(path, open_it):
            read = read_data(data, one.entry)
            if hashlib.sha256(read).hexdigest() != one.digest:
                raise _fault(path, f"{one.entry.name} is not what was backed up", fix="take another backup")
            yield Member(one.entry.name, read)


def _refuse_too_large(folder: Path, size: int) -> None:
    free = shutil.disk_usage(folder.parent).free
    if size > free:
        what = f"there is no room here: it takes {size / 2**20:.0f} MiB, and {free / 2**20:.0f} MiB are free"
        raise FileFault([whole_file(folder, what, "room for all files", "make room, or name another place")])


def _files(path: Path, opened: Opener) -> Iterator[_Listed]:
    """Every file with its hash, as the directory and the list of contents name it one after the other.

    Raises FileFault at the first file that is not in the list, is no plain file, or has a name that leads out of the
    folder, and Spoilt where it is no backup at all.
    """
    with ExitStack() as files:
        entries = read_directory(files.enter_context(opened()))
        first = next(entries, None)
        if first is None or first.name != CONTENTS:
            raise _fault(path, "this is not a backup of this program", _KIND)
        if first.size > MOST_TIMES * first.packed:
            raise Spoilt
        lines = _lines(files.enter_context(opened()), first)
        heading = next(lines, None)
        if heading is None:
            raise Spoilt
        if f"{heading}\n" not in FORMATS:
            raise _fault(path, "this backup was written by a newer Steady Arc", fix="use the newer Steady Arc")
        once = _Once()
        for entry in entries:
            _refuse_harmful(path, entry)
            listed = _LISTED.fullmatch(next(lines, ""))
            if listed is None or listed[2] != entry.name or not once.is_new(entry.name):
                raise _other_than_listed(path)
            yield _Listed(entry, listed[1])
        if next(lines, None) is not None:
            raise _other_than_listed(path)


class _Once:
    """Whether each name is there once, also on systems that do not tell a from A.

    The files of a client stand together in every backup, so only the names of one client are held at a time.
    """

    def __init__(self) -> None:
        self._clients, self._client, self._names = set[str](), "", set[str]()

    def is_new(self, name: str) -> bool:
        """Whether no earlier file has this name, and its client's files have not ended yet."""
        client, _, inside = name.casefold().partition("/")
        if client != self._client:
            if client in self._clients:
                return False
            self._clients.add(client)
            self._client, self._names = client, set[str]()
        known = inside in self._names
        self._names.add(inside)
        return not known


def _refuse_harmful(path: Path, entry: Entry) -> None:
    if not is_name(entry.name):
        raise _fault(path, f"it holds a file that would lead out of the folder: {entry.name}")
    if stat.S_IFMT(entry.attributes) not in (0, stat.S_IFREG):
        raise _fault(path, f"{entry.name} in it is a link, or not an ordinary file")
    if entry.size > MOST_BYTES:
        raise _fault(path, f"{entry.name} in it is larger than 16 MiB")
    if entry.size > MOST_TIMES * entry.packed:
        raise _fault(path, f"{entry.name} in it would unpack to more than {MOST_TIMES} times its size")


def _lines(file: BinaryIO, entry: Entry) -> Iterator[str]:
    """The lines of a file of any length. Raises Spoilt where one is longer than any that was written."""
    left = b""
    for chunk in read_chunks(file, entry):
        *whole, left = (left + chunk).split(b"\n")
        if len(left) > _LONGEST_LINE:
            raise Spoilt
        yield from (line.decode("utf-8") for line in whole)
    if left:
        raise Spoilt


@contextmanager
def reporting(path: Path) -> Iterator[None]:
    """Turn what is wrong with a backup into a FileFault of it."""
    try:
        if not stat.S_ISREG(path.stat().st_mode):  # a pipe or a device may never answer
            raise _fault(path, "this is not an ordinary file", _KIND)
        yield
    except FileNotFoundError:
        raise _fault(path, "there is no such file", _KIND) from None
    except Spoilt as spoilt:
        raise _unreadable(path, str(spoilt) or "it is damaged") from None
    except UnicodeDecodeError:
        raise _unreadable(path, "it is damaged") from None
    except OSError as error:
        raise _unreadable(path, error_reason(error)) from None


def _unreadable(path: Path, reason: str) -> FileFault:
    return _fault(path, f"it cannot be read as a backup: {reason}", _KIND, "take another backup")


def _other_than_listed(path: Path) -> FileFault:
    return _fault(path, "what it holds is not what it lists", fix="take another backup")


def _fault(path: Path, what: str, expected: str = "", fix: str = "look at where it came from") -> FileFault:
    return FileFault([whole_file(path, what, expected, fix)])
