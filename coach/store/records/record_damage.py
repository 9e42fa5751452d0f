"""Records that are not as they were written, and what progress.toml still says about them.

The seal lists what progress.toml was derived from, with the SHA-256 of each record. Where a record is damaged later,
a client goes on from the progress that it had been applied to, and its hash shows when the right copy is back.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from pathlib import Path

from msgspec import Struct, field

from coach.content_files.names_of_copies import is_name_of_copy
from coach.model.instruction import Instruction
from coach.sha256 import sha256
from coach.store.client_paths import PROGRESS, RECORDS
from coach.store.guards.torn_ends import FROM_BACKUP
from coach.store.records import record_file
from coach.store.records.record_file import RawRecord
from coach.store.records.record_marks import LOST, is_hashed
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file
from coach.toml.reader import read_bytes

FINGERPRINT = ".progress.fingerprint"
_RECORD, _SIGNED, _LATER, _MEASURED, _PRESCRIBED, _WHOLE = (
    "record", "signed", "later", "measured", "prescribed", "whole",
)  # fmt: skip
_WAY_BACK = (
    "if another program keeps this folder the same as others, wait until it has brought it; else restore a backup "
    "into another folder (coach restore) and copy it from there; if somebody took it out on purpose, delete "
    f"{FINGERPRINT} in the client's folder"
)


class Seal(Struct, frozen=True):
    """What progress.toml was derived from.

    `progress`, the values of `records` and the files of `measured` sets are SHA-256 in hexadecimal; `prescribed` is
    the name of the file that held what was prescribed. `later` are instructions that were signed since: progress.toml
    does not hold them yet, and they must not be lost before the next session either.
    """

    fingerprint: str
    progress: str
    records: Mapping[str, str] = field(default_factory=dict)
    signed: frozenset[str] = frozenset()
    measured: frozenset[str] = frozenset()
    prescribed: str = ""
    later: frozenset[str] = frozenset()

    @classmethod
    def of(
        cls,
        fingerprint: str,
        progress: str,
        intact: Iterable[RawRecord],
        damaged: Mapping[str, str],
        signed: Iterable[Instruction],
        measured: frozenset[str],
        prescribed: str,
    ) -> "Seal":
        """The seal of a progress as text; `damaged` are the sealed hashes of damaged records, by file name."""
        hashes = {raw.path.name: hash_of(raw.content) for raw in intact}
        times = frozenset(one.at.isoformat() for one in signed)
        return cls(fingerprint, hash_of(progress.encode()), {**hashes, **damaged}, times, measured, prescribed)

    def as_text(self) -> str:
        """The content of the hidden file."""
        records = (f"{_RECORD} {digest} {name}\n" for name, digest in sorted(self.records.items()))
        signed = (f"{_SIGNED} {at}\n" for at in sorted(self.signed))
        later = (f"{_LATER} {at}\n" for at in sorted(self.later))
        measured = (f"{_MEASURED} {digest}\n" for digest in sorted(self.measured))
        prescribed = f"{_PRESCRIBED} {self.prescribed}\n"
        text = f"{self.fingerprint}\n{self.progress}\n{''.join((*records, *signed, *later, *measured))}{prescribed}"
        return f"{text}{_WHOLE} {hash_of(text.encode(errors='surrogateescape'))}\n"


def read_seal(folder: Path) -> Seal | None:
    """The seal in a client's folder; None where there is none that can be read."""
    file = folder / FINGERPRINT
    try:
        if not file.is_file():  # a pipe or a device of that name would never answer
            return None
        text = file.read_text(encoding="utf-8", errors="surrogateescape")
    except (OSError, ValueError):
        return None
    above, whole, digest = text.rpartition(f"\n{_WHOLE} ")
    if whole and hash_of(f"{above}\n".encode(errors="surrogateescape")) != digest.strip():
        return None  # a damaged one would call records damaged that are not; those of earlier versions end otherwise
    fingerprint, _, rest = text.partition("\n")
    progress, _, listed = rest.partition("\n")
    rows = [line.split(" ", 2) for line in listed.splitlines()]
    records = {row[2]: row[1] for row in rows if row[0] == _RECORD and len(row) > 2}
    signed, later, measured = (
        frozenset(row[1] for row in rows if row[0] == kind and len(row) > 1) for kind in (_SIGNED, _LATER, _MEASURED)
    )
    prescribed = next((row[1] for row in rows if row[0] == _PRESCRIBED and len(row) > 1), "")
    return Seal(fingerprint, progress, records, signed, measured, prescribed, later)


def hash_of(content: bytes) -> str:
    """The SHA-256 of a file in hexadecimal, whatever an editor made of its line ends and its last lines."""
    return sha256(content.rstrip().replace(b"\r\n", b"\n")).hexdigest()


def is_as_sealed(folder: Path, seal: Seal | None) -> bool:
    """Whether progress.toml is as this program wrote it."""
    try:
        return seal is not None and hash_of(read_bytes(folder / PROGRESS)) == seal.progress
    except FileFault:
        return False


def damaged_records(folder: Path, found: Sequence[RawRecord], seal: Seal | None) -> tuple[RawRecord, ...]:
    """The records that cannot be trusted, and those that the seal lists and that are no longer there."""
    hashes = {raw.path.name: hash_of(raw.content) for raw in found} if seal is not None and seal.records else {}
    damaged = [raw for raw in found if _is_damaged(raw, seal, hashes)]
    return (*damaged, *_missing_records(folder, found, seal, hashes))


def _is_damaged(raw: RawRecord, seal: Seal | None, hashes: Mapping[str, str]) -> bool:
    """Whether a record cannot be trusted.

    Its own hash does not fit; or it has been sealed with other content, and it has marks with hashes, so that nobody
    edits it by hand, or it can no longer be read. Where a sync program has given records the names of each other, all
    of them are still there; where one holds the content of another, and its own is nowhere, that is lost.
    """
    if raw.damage:
        return raw.damage in LOST
    if seal is None or raw.path.name not in seal.records:
        return False
    sealed, now = seal.records[raw.path.name], hashes[raw.path.name]
    if now == sealed:
        return False
    if now in seal.records.values():
        return sealed not in hashes.values()
    return is_hashed(raw.content) or not _is_readable(raw)


def _missing_records(
    folder: Path, found: Sequence[RawRecord], seal: Seal | None, hashes: Mapping[str, str]
) -> Iterator[RawRecord]:
    """The records that progress.toml was derived from and that are no longer there, under whatever name.

    A program that synchronises folders may have deleted them, or not have brought them yet. That does not depend on
    progress.toml: whatever has put an older copy of it back may have taken the records with it.
    """
    if seal is None:
        return
    names, there = {raw.path.name for raw in found}, set(hashes.values())
    copies = [name for name in names if not record_file.is_own_name(Path(name))]
    for name, digest in sorted(seal.records.items()):
        path = folder / RECORDS / name
        if name not in names and digest not in there and not any(is_name_of_copy(one, path) for one in copies):
            yield RawRecord(path, b"", damage="missing")


def missing_instructions(
    folder: Path, place: str, times: Callable[[], Iterable[datetime]], seal: Seal | None
) -> Iterator[Diagnostic]:
    """A fault for each instruction that the seal lists and that is no longer there.

    `place` is where they are in the client's folder; `times` gives when those that are there were signed.
    """
    gone = {*seal.signed, *seal.later} if seal is not None else set[str]()
    for at in times() if gone else ():
        gone.discard(at.isoformat())
        if not gone:
            return
    for signed_at in sorted(gone):
        what = f"an instruction signed at {signed_at} is missing, and where the client stands follows from it"
        yield whole_file(folder / place, what, "every instruction that was signed", _WAY_BACK)


def missing_version(file: Path, seal: Seal | None) -> Iterator[Diagnostic]:
    """A fault where a newer version of the programme than `file`, which holds now, was there before."""
    before = seal.prescribed if seal is not None else ""
    if before[:4].isdigit() and file.name < before:
        what = "this version of the programme is missing, and where the client stands was derived from it"
        yield whole_file(file.with_name(before), what, "every version that was written", _WAY_BACK)


def damage_fault(raw: RawRecord, note: str = "") -> Diagnostic:
    """What is wrong with a damaged record, and where to get it back from."""
    if raw.damage == "missing":
        what = f"this record is missing, and where the client stands was derived from it{note}"
        return whole_file(raw.path, what, "every record that was written", _WAY_BACK)
    if raw.damage == "cut":
        what = f"this record was cut off after it had been saved, and its end is lost{note}"
        fix = f"{FROM_BACKUP}; else see with the client what is lost, and take out what follows the last # whole"
        return whole_file(raw.path, what, "a record as this program wrote it", fix)
    what = f"this record is damaged: it is not as it was written{note}"
    fix = (
        "restore a backup into another folder (coach restore) and copy this file from there; if somebody changed it "
        "on purpose, take out all that follows the word whole in its lines # whole"
    )
    return whole_file(raw.path, what, "a record as this program wrote it", fix)


def _is_readable(raw: RawRecord) -> bool:
    try:
        record_file.parse(raw)
    except FileFault:
        return False
    return True
