"""Records that are not as they were written, and what progress.toml still says about them.

The seal lists what progress.toml was derived from, with the SHA-256 of each record. Where a record is damaged later,
a client goes on from the progress that it had been applied to, and its hash shows when the right copy is back.
"""

from collections.abc import Iterable, Mapping
from hashlib import sha256
from pathlib import Path

from msgspec import Struct, field

from coach.model.instruction import Instruction
from coach.store import record_file
from coach.store.record_file import RawRecord
from coach.store.record_marks import is_hashed
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file

FINGERPRINT = ".progress.fingerprint"
_RECORD, _SIGNED, _MEASURED = "record", "signed", "measured"


class Seal(Struct, frozen=True):
    """What progress.toml was derived from.

    `progress`, the values of `records` and the files of `measured` sets are SHA-256 in hexadecimal.
    """

    fingerprint: str
    progress: str
    records: Mapping[str, str] = field(default_factory=dict)
    signed: frozenset[str] = frozenset()
    measured: frozenset[str] = frozenset()

    @classmethod
    def of(
        cls,
        fingerprint: str,
        progress: str,
        intact: Iterable[RawRecord],
        damaged: Mapping[str, str],
        signed: Iterable[Instruction],
        measured: frozenset[str],
    ) -> "Seal":
        """The seal of a progress as text; `damaged` are the sealed hashes of damaged records, by file name."""
        hashes = {raw.path.name: hash_of(raw.content) for raw in intact}
        times = frozenset(one.at.isoformat() for one in signed)
        return cls(fingerprint, hash_of(progress.encode()), {**hashes, **damaged}, times, measured)

    def as_text(self) -> str:
        """The content of the hidden file."""
        records = (f"{_RECORD} {digest} {name}\n" for name, digest in sorted(self.records.items()))
        signed = (f"{_SIGNED} {at}\n" for at in sorted(self.signed))
        measured = (f"{_MEASURED} {digest}\n" for digest in sorted(self.measured))
        return f"{self.fingerprint}\n{self.progress}\n{''.join((*records, *signed, *measured))}"


def read_seal(folder: Path) -> Seal | None:
    """The seal in a client's folder; None where there is none that can be read."""
    file = folder / FINGERPRINT
    try:
        if not file.is_file():  # a pipe or a device of that name would never answer
            return None
        fingerprint, _, rest = file.read_text(encoding="utf-8", errors="surrogateescape").partition("\n")
    except (OSError, ValueError):
        return None
    progress, _, listed = rest.partition("\n")
    rows = [line.split(" ", 2) for line in listed.splitlines()]
    records = {row[2]: row[1] for row in rows if row[0] == _RECORD and len(row) > 2}
    signed, measured = (
        frozenset(row[1] for row in rows if row[0] == kind and len(row) > 1) for kind in (_SIGNED, _MEASURED)
    )
    return Seal(fingerprint, progress, records, signed, measured)


def hash_of(content: bytes) -> str:
    """The SHA-256 of a file in hexadecimal, whatever an editor made of its line ends and its last lines."""
    return sha256(content.rstrip().replace(b"\r\n", b"\n")).hexdigest()


def is_damaged(raw: RawRecord, seal: Seal | None) -> bool:
    """Whether a record cannot be trusted.

    Its own hash does not fit; or it has been sealed with other content, and it has marks with hashes, so that nobody
    edits it by hand, or it can no longer be read.
    """
    if raw.damage:
        return raw.damage == "content"
    sealed = seal.records if seal is not None else {}
    if raw.path.name not in sealed or hash_of(raw.content) in sealed.values():
        return False  # also where a sync program has given it the name of another record
    return is_hashed(raw.content) or not _is_readable(raw)


def damage_fault(raw: RawRecord, note: str = "") -> Diagnostic:
    """What is wrong with a damaged record, and where to get it back from."""
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
