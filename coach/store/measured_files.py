"""The measured sets of a client: a file for each, only ever added."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial
from pathlib import Path

from coach.model.measured.measured_set import MeasuredSet
from coach.store.client_folder import ClientFolder
from coach.store.client_paths import MEASURED
from coach.toml.atomic_write import make_folder, unused_path
from coach.toml.diagnostic import Diagnostic, collect_faults
from coach.toml.new_file import write_new
from coach.toml.reader import read_model
from coach.toml.writer import dump_by_hand

SetKey = tuple[datetime, int]
"""A set: when its session was started, and its number."""


@dataclass(frozen=True)
class MeasuredSets:
    """The newest measurement of each set that was measured, and what is wrong with files that cannot be read."""

    by_set: Mapping[SetKey, MeasuredSet] = field(default_factory=dict)
    faults: tuple[Diagnostic, ...] = ()


def read_measured(folder: ClientFolder) -> MeasuredSets:
    """Every measured set of a client. A file that cannot be read is a fault, and the others count without it."""
    if not (folder.path / MEASURED).is_dir():
        return MeasuredSets()
    faults: list[Diagnostic] = []
    files = sorted((folder.path / MEASURED).glob("*.toml"))
    read = [collect_faults(partial(read_model, file, MeasuredSet), faults) for file in files]
    started = {stored.path.name: stored.record.started for stored in folder.stored_records}
    found: dict[SetKey, MeasuredSet] = {}
    for one in sorted((one for one in read if one is not None), key=lambda one: one.kept):
        if one.record in started:
            found[started[one.record], one.set] = one
    return MeasuredSets(found, tuple(faults))


def keep_measured(client: Path, measured: Sequence[MeasuredSet]) -> tuple[Path, ...]:
    """Write each set into a new file, and return their paths. Only for the holder of the lock. Raises FileFault."""
    make_folder(client / MEASURED)
    kept: list[Path] = []
    for one in measured:
        path = unused_path(client / MEASURED / f"{one.record.removesuffix('.toml')}-set{one.set}.toml")
        data = one.model_dump(exclude_none=True)
        write_new(path, dump_by_hand({**data, "repetition": list(data["repetition"])}).encode())
        kept.append(path)
    return tuple(kept)
