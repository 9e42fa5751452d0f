"""A backup: one client, or all clients of a folder, in one ZIP file with the hash of each file.

Its directory begins with a file that lists the others with their SHA-256, in the format that `sha256sum --check`
reads. Files are read, packed and let go one after the other.
"""

import hashlib
import os
import re
import stat
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from msgspec import Struct

from coach.store.backups.zip_writer import Output, ZipWriter, temporary
from coach.store.client_paths import CLINIC, PROFILE, RECORDS, clients_in, clinic_in, is_client
from coach.store.records.record_damage import FINGERPRINT
from coach.system import NO_LINK, open_bytes
from coach.toml.diagnostic import Diagnostic, FileFault, error_reason, whole_file

CONTENTS = "contents.sha256"
FORMAT = "# format = 2\n"
FORMATS = ("# format = 1\n", FORMAT)  # that can be read; the first had no hidden file at all
MOST_BYTES = 16 * 1024 * 1024  # of one file; far above anything that belongs into a client's folder
DEEPEST = 6  # levels of folders
# No name that any system reads as a path, a hidden file or a control sequence.
_NAME = re.compile(r"[^\x00-\x1f\x7f/\\:*?\"<>|]{1,200}")
# What Windows takes for a device, with any ending. Source: Microsoft, Naming Files, Paths, and Namespaces.
_DEVICES = {"con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in range(10))}
_MOVE = "move it out of the folder"


class FoundFile(Struct, frozen=True):
    """A file in the folder: its name in a backup, which begins with the client's folder, and where it is.

    With `fault` it cannot be backed up, and stands for all that is below it.
    """

    name: str
    path: Path
    fault: Diagnostic | None = None


class Member(Struct, frozen=True):
    """One file of a backup: its name and its bytes."""

    name: str
    data: bytes


class Holding(Struct, frozen=True):
    """What a backup holds: the number of sessions of each client, in the order of the backup, and of files."""

    sessions: dict[str, int]
    files: int


def find(folder: Path, on_client: Callable[[int, int], object] = lambda *_: None) -> Iterator[FoundFile]:
    """Every file of a client, or of all clients in a folder and of the clinic, in one order.

    The files of a client stand together. Hidden files belong to the program and are left out, but for the seal, which
    tells what is missing. `on_client` is called
    with how many folders are done and how many there are. Raises FileFault where there is no client.
    """
    if is_client(folder):
        within, inside = folder.resolve().parent, [folder.resolve().name]
    else:
        clinic = clinic_in(folder)
        within, inside = folder, sorted([*clients_in(folder), *([clinic.name] if clinic else [])])
    names = _Names()
    for number, name in enumerate(inside, start=1):
        path = within / name
        fault = names.fault(path, name)
        yield from (FoundFile(name, path, fault),) if fault else find_inside(path, name)
        on_client(number, len(inside))


def read_members(found: Iterable[FoundFile], left_out: list[Diagnostic]) -> Iterator[Member]:
    """The files with their bytes. What cannot be backed up is added to `left_out`, and the others go on."""
    for one in found:
        if one.fault is not None:
            left_out.append(one.fault)
            continue
        try:
            yield read_member(one)
        except FileFault as fault:
            left_out.extend(fault.faults)


def read_member(found: FoundFile) -> Member:
    """A file with its bytes. Raises FileFault where it is no ordinary file, too large, or cannot be read."""
    return Member(found.name, _data(found.path))


def pack(members: Iterable[Member], out: Output, scratch: Path | None = None) -> None:
    """Write a backup of these files to `out`; large temporary files are made in the folder `scratch`."""
    with ZipWriter(out, scratch) as archive, temporary(scratch) as listed:
        listed.write(FORMAT.encode())
        for one in members:
            archive.add(one.name, one.data)
            listed.write(f"{hashlib.sha256(one.data).hexdigest()}  {one.name}\n".encode())
        archive.finish(CONTENTS, listed)


def holding(names: Iterable[str]) -> Holding:
    """What a backup of these files holds; the clinic's folder is no client."""
    sessions, files, clinic_is_client = dict[str, int](), 0, False
    for name in names:
        files += 1
        client, _, inside = name.partition("/")
        sessions.setdefault(client, 0)
        if inside.startswith(f"{RECORDS}/") and inside.endswith(".toml"):
            sessions[client] += 1
        clinic_is_client = clinic_is_client or name == f"{CLINIC}/{PROFILE}"
    if not clinic_is_client:
        sessions.pop(CLINIC, None)
    return Holding(sessions, files)


def is_name(name: str) -> bool:
    """Whether this is the name of a file inside a client's folder on every system."""
    parts = name.split("/")
    if len(parts) == 2 and parts[1] == FINGERPRINT:
        return _is_part(parts[0])
    return 2 <= len(parts) <= DEEPEST and all(_is_part(part) for part in parts)


def _is_part(part: str) -> bool:
    if _NAME.fullmatch(part) is None or not part.isprintable():
        return False
    if part.partition(".")[0].casefold() in _DEVICES:
        return False
    return not part.startswith((".", "~", "-")) and not part.endswith((".", " "))


class _Names:
    """The names in one folder, of which each can be only once, also on systems that do not tell a from A."""

    def __init__(self) -> None:
        self._taken = set[str]()

    def fault(self, path: Path, name: str) -> Diagnostic | None:
        """Why a file or a folder of this name cannot be backed up, or None."""
        if not _is_part(name):
            fix = f"give it a plain name, or {_MOVE}"
            return whole_file(path, "a file of this name cannot be put in a backup", "", fix)
        if name.casefold() in self._taken:
            what = "its name differs from another one in this folder only by large and small letters"
            return whole_file(path, what, "names that every system can tell apart", "give it another name")
        self._taken.add(name.casefold())
        return None


def find_inside(folder: Path, name: str) -> Iterator[FoundFile]:
    """Every file below a folder that has this name in the backup, in one order.

    Hidden files are left out, but for the seal of a client. It comes first: it then lists no record that was added
    while the others were read.
    """
    names = _Names()
    try:
        with os.scandir(folder) as found:
            every = sorted(found, key=lambda one: one.name)
            entries = [one for one in every if not one.name.startswith(".")]
            seal = [one for one in every if one.name == FINGERPRINT and one.is_file() and "/" not in name]
    except OSError as error:
        what = f"this folder cannot be read: {error_reason(error)}"
        yield FoundFile(name, folder, whole_file(folder, what, "a folder of your own"))
        return
    yield from (FoundFile(f"{name}/{one.name}", folder / one.name) for one in seal)
    for entry in entries:
        path, inside = folder / entry.name, f"{name}/{entry.name}"
        fault = names.fault(path, entry.name)
        is_folder = fault is None and entry.is_dir(follow_symlinks=False)
        if is_folder and inside.count("/") + 1 >= DEEPEST:
            fault = whole_file(path, "folders are nested too deeply", f"at most {DEEPEST} levels", _MOVE)
        if is_folder and fault is None:
            yield from find_inside(path, inside)
        else:
            yield FoundFile(inside, path, fault)


def _data(path: Path) -> bytes:
    """The bytes of an ordinary file; anything else is not opened."""
    try:
        if not stat.S_ISREG(path.lstat().st_mode):
            fix = f"{_MOVE}, or put the file itself there"
            raise FileFault([whole_file(path, "this is a link, or not an ordinary file", "a file", fix)])
        with os.fdopen(open_bytes(path, os.O_RDONLY | NO_LINK), "rb") as file:
            data = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise FileFault([whole_file(path, f"it cannot be read: {error_reason(error)}", "a file")]) from None
    if len(data) > MOST_BYTES:
        raise FileFault([whole_file(path, "the file is larger than 16 MiB", "", "take it out of the folder")])
    return data
