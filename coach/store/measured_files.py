"""The measured sets of a client: a file for each, only ever added."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial
from pathlib import Path

from coach.model.measured.measured_set import MeasuredSet
from coach.model.record import Record
from coach.store.client_folder import ClientFolder
from coach.store.client_paths import MEASURED, unreadable_folders
from coach.store.programme.marked_file import read_marked, with_mark
from coach.toml.atomic_write import make_folder, unused_path
from coach.toml.diagnostic import Diagnostic, collect_faults
from coach.toml.new_file import write_new
from coach.toml.writer import dump_by_hand

SetKey = tuple[datetime, str | None, int]
"""A set: when its session was started, the exercise of the programme, and its number."""


@dataclass(frozen=True)
class MeasuredSets:
    """The newest measurement of each set that was measured, and what is wrong with files that cannot be read."""

    by_set: Mapping[SetKey, MeasuredSet] = field(default_factory=dict)
    faults: tuple[Diagnostic, ...] = ()


def read_measured(folder: ClientFolder) -> MeasuredSets:
    """Every measured set of a client. A file that cannot be read is a fault, and the others count without it."""
    faults = unreadable_folders(folder.path, (MEASURED,))
    files = sorted((folder.path / MEASURED).glob("*.toml"))
    read = [collect_faults(partial(read_marked, file, MeasuredSet), faults) for file in files]
    found: dict[SetKey, MeasuredSet] = {}
    for one in sorted((one for one in read if one is not None), key=lambda one: one.kept):
        for stored in folder.stored_records:
            if stored.path.name == one.record and _belongs_to(one, stored.record):
                found[set_key(stored.record, one.set)] = one
    return MeasuredSets(found, tuple(faults))


def set_key(record: Record, number: int) -> SetKey:
    """The set of this number of a record."""
    return record.started, record.name, number


def _belongs_to(one: MeasuredSet, record: Record) -> bool:
    """Whether it is a set of this exercise; one that names none is of a session before there was a programme."""
    return one.name in (None, record.name)


def keep_measured(client: Path, measured: Sequence[MeasuredSet]) -> tuple[Path, ...]:
    """Write each set into a new file, and return their paths. Only for the holder of the lock. Raises FileFault."""
    make_folder(client / MEASURED)
    kept: list[Path] = []
    for one in measured:
        of_exercise = "" if one.name is None else f"-{one.name}"
        name = f"{one.record.removesuffix('.toml')}{of_exercise}-set{one.set}.toml"
        path = unused_path(client / MEASURED / name)
        data = one.model_dump(exclude_none=True)
        text = dump_by_hand({**data, "repetition": list(data["repetition"])})
        write_new(path, with_mark(text).encode())
        kept.append(path)
    return tuple(kept)
