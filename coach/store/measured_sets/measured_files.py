"""The measured sets of a client: a file for each, only ever added."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import datetime
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct, field

from coach.model.base import Name
from coach.model.measured.tempo_kept import MeasuredFault
from coach.model.record import Record
from coach.progression.measured.veto import Vetoes
from coach.sha256 import sha256
from coach.store.client_paths import MEASURED, unreadable_folders
from coach.store.programme.marked_file import parse_marked, with_first_line_and_mark
from coach.store.records.record_file import StoredRecord
from coach.toml.atomic_write import make_folder, unused_path
from coach.toml.diagnostic import Diagnostic, collect_faults
from coach.toml.new_file import write_new
from coach.toml.reader import read_bytes
from coach.toml.writer import dump_by_hand, values_to_write

if TYPE_CHECKING:
    from coach.model.measured.measured_set import MeasuredSet

SetKey = tuple[datetime, str | None, int]
"""A set: when its session was started, the exercise of the programme, and its number."""


class MeasuredSets(Struct, frozen=True):
    """The newest measurement of each set that was measured, and what is wrong with files that cannot be read."""

    by_set: "Mapping[SetKey, MeasuredSet]" = field(default_factory=dict)
    faults: tuple[Diagnostic, ...] = ()
    unreadable: tuple[tuple[datetime, Name | None], ...] = ()
    """The sessions of which a file cannot be read."""

    def vetoes(self, holds_now: bool) -> Vetoes:
        """What lets nothing rise after a session, where the therapist had chosen so by the time it was kept.

        `holds_now`: the therapist has chosen so for now. Then a file that cannot be read is taken for a fault.
        """
        found: dict[tuple[datetime, Name | None], dict[MeasuredFault, None]] = {}
        for session in self.unreadable if holds_now else ():
            found[session] = {"unreadable": None}
        for (started, name, _), one in sorted(self.by_set.items(), key=lambda item: item[0][2]):
            if one.holds and one.faults:
                found.setdefault((started, name), {}).update(dict.fromkeys(one.faults))
        return {session: tuple(faults) for session, faults in found.items()}


class MeasuredFiles(Struct, frozen=True, dict=True):
    """The files of measured sets as they were read; one that cannot be read is a fault, and the others count."""

    contents: tuple[tuple[Path, bytes], ...] = ()
    faults: tuple[Diagnostic, ...] = ()

    @cached_property
    def parsed(self) -> "tuple[tuple[MeasuredSet, ...], tuple[Diagnostic, ...]]":
        """Every measured set, the one kept last at the end, and what is wrong with files."""
        faults = list(self.faults)
        read = [collect_faults(partial(_parsed, path, content), faults) for path, content in self.contents]
        return tuple(sorted((one for one in read if one is not None), key=lambda one: one.kept)), tuple(faults)

    @property
    def hashes(self) -> frozenset[str]:
        """The SHA-256 of every file, in hexadecimal."""
        return frozenset(sha256(content).hexdigest() for _, content in self.contents)

    def among(self, hashes: Collection[str]) -> "MeasuredFiles":
        """Those with one of these hashes."""
        return MeasuredFiles(tuple(one for one in self.contents if sha256(one[1]).hexdigest() in hashes))


NO_FILES = MeasuredFiles()


def read_measured_files(client: Path) -> MeasuredFiles:
    """The files of a client; nothing is parsed yet."""
    faults = unreadable_folders(client, (MEASURED,))
    files = sorted((client / MEASURED).glob("*.toml"))
    read = [(file, collect_faults(partial(read_bytes, file), faults)) for file in files]
    return MeasuredFiles(tuple((file, content) for file, content in read if content is not None), tuple(faults))


def _parsed(path: Path, content: bytes) -> "MeasuredSet":
    from coach.model.measured.measured_set import MeasuredSet

    return parse_marked(content, path, MeasuredSet)


def measured_sets(files: MeasuredFiles, records: Iterable[StoredRecord]) -> MeasuredSets:
    """The newest measurement of each set of these records.

    One stretch of one table was one set: where it was kept for two, only the one that was kept last counts.
    """
    kept, faults = files.parsed
    of_stretch = {_stretch(one): one for one in kept}
    by_file: dict[str, list[MeasuredSet]] = {}
    for one in sorted(of_stretch.values(), key=lambda one: one.kept):
        by_file.setdefault(one.record, []).append(one)
    found: dict[SetKey, MeasuredSet] = {}
    unreadable = []
    for stored in records if by_file or faults else ():
        for one in by_file.get(stored.path.name, ()):
            if _belongs_to(one, stored.record):
                found[set_key(stored.record, one.set)] = one
        if any(_may_be_of(fault.path, stored.path) for fault in faults):
            unreadable.append((stored.record.started, stored.record.name))
    return MeasuredSets(found, faults, tuple(unreadable))


def _may_be_of(unreadable: Path, record: Path) -> bool:
    """Whether what cannot be read, a file or the whole folder, may be of a session, by its name."""
    return unreadable.name == MEASURED or unreadable.name.startswith(record.stem)


def _stretch(one: "MeasuredSet") -> tuple[object, ...]:
    """Where in which table a set was found; one without repetitions is only itself."""
    if one.repetition:
        return one.sha256, one.repetition[0].began_s
    return one.sha256, one.record, one.set, one.kept


def set_key(record: Record, number: int) -> SetKey:
    """The set of this number of a record."""
    return record.started, record.name, number


def _belongs_to(one: "MeasuredSet", record: Record) -> bool:
    """Whether it is a set of this exercise; one that names none is of a session before there was a programme."""
    return one.name in (None, record.name)


def keep_measured(client: Path, measured: "Sequence[MeasuredSet]") -> tuple[Path, ...]:
    """Write each set into a new file, and return their paths. Only for the holder of the lock.

    Raises FileFault, before the first is written where one could not be read again.
    """
    values = [values_to_write(one, client / MEASURED) for one in measured]
    make_folder(client / MEASURED)
    kept: list[Path] = []
    for one, data in zip(measured, values, strict=True):
        of_exercise = "" if one.name is None else f"-{one.name}"
        name = f"{one.record.removesuffix('.toml')}{of_exercise}-set{one.set}.toml"
        path = unused_path(client / MEASURED / name)
        text = dump_by_hand({**data, "repetition": list(data["repetition"])})
        write_new(path, with_first_line_and_mark(text).encode())
        kept.append(path)
    return tuple(kept)
