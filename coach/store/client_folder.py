"""A client's folder: profile, prescription, records and progress; read together, written apart."""

import os
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property, partial
from pathlib import Path

import tomli_w

from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.progress import Progress
from coach.store import record_file
from coach.store.client_paths import PRESCRIPTION, PROFILE, PROGRESS, RECORDS, is_client
from coach.store.record_file import Found, Kept
from coach.store.sync_conflicts import without_copies
from coach.toml.atomic_write import free, make_folder, replace_file, sweep
from coach.toml.diagnostic import Diagnostic, FileFault, tried, whole_file
from coach.toml.reader import read_bytes, read_model

# Records are named by the local time of their start: clocks around the world stand up to 26 hours apart (UTC-12 to
# UTC+14; IANA time zone database, from memory).
_CLOCKS_APART = timedelta(hours=26)


@dataclass(frozen=True)
class ProfileFolder:
    """One client as the files tell it.

    `saved` is progress.toml, None where there is none or where it cannot be read: it is derived, so what
    is wrong with it stands in `saved_faults` and keeps nobody from a session. `found` are the files of the
    records, in order of their names; they are parsed when somebody asks what is in them.
    """

    path: Path
    profile: Profile
    prescription: Prescription
    found: tuple[Found, ...]
    saved: Progress | None
    saved_faults: tuple[Diagnostic, ...] = ()

    @cached_property
    def kept(self) -> tuple[Kept, ...]:
        """Every record in order of time. FileFault with every fault of every record."""
        return _in_time(self.found)

    @cached_property
    def newest(self) -> Kept | None:
        """The newest record. Only files that may be it by their names are parsed, for there may be thousands.

        FileFault as for `kept`.
        """
        starts = (record_file.started_about(one.path) for one in reversed(self.found))
        last = next((start for start in starts if start is not None), None)
        first = record_file.name_of(last - _CLOCKS_APART) if last is not None else ""
        # Our own names are in order of time; another was given by somebody else and may be of any day.
        near = [one for one in self.found if one.path.name >= first or not record_file.is_own_name(one.path)]
        return next(reversed(_in_time(near)), None)

    @property
    def open_record(self) -> Kept | None:
        """The newest record, if it was never closed."""
        return self.newest if self.newest is not None and self.newest.record.ended is None else None


def read_profile_folder(path: Path, mends: bool = True) -> ProfileFolder:
    """Everything in a client's folder, records in order of time. FileFault with every fault of every file.

    Without `mends` nothing is written: a record whose end was torn off stays as it is.
    """
    require_profile(path)
    faults: list[Diagnostic] = []
    profile = tried(lambda: read_model(path / PROFILE, Profile), faults)
    prescription = tried(lambda: read_model(path / PRESCRIPTION, Prescription), faults)
    saved_faults: list[Diagnostic] = []
    if mends:
        sweep(path)
        sweep(path / RECORDS)
    there = (path / PROGRESS).exists()
    saved = tried(lambda: read_model(path / PROGRESS, Progress), saved_faults) if there else None
    records = sorted((path / RECORDS).glob("*.toml"), key=lambda one: one.name) if (path / RECORDS).is_dir() else []
    found = [one for file in records if (one := tried(partial(record_file.find, file, mends), faults)) is not None]
    if faults or profile is None or prescription is None:
        for one in found:
            tried(partial(record_file.parse, one), faults)
        raise FileFault(faults)
    return ProfileFolder(path, profile, prescription, tuple(found), saved, tuple(saved_faults))


def _in_time(found: Iterable[Found]) -> tuple[Kept, ...]:
    faults: list[Diagnostic] = []
    kept = [tried(partial(record_file.parse, one), faults) for one in found]
    single = without_copies([one for one in kept if one is not None], faults)
    if faults:
        raise FileFault(faults)
    return tuple(sorted(single, key=lambda one: one.record.started))


def records_folder(path: Path) -> Path:
    """The folder of the records, made if it is not there."""
    make_folder(path / RECORDS)
    return path / RECORDS


def save_progress(path: Path, progress: Progress) -> None:
    """Write progress.toml anew, whole or not at all."""
    replace_file(path / PROGRESS, progress_text(progress))


def progress_text(progress: Progress) -> str:
    """progress.toml as text: the same progress gives the same bytes."""
    note = "# Where the client stands. Derived from the records; `coach history` rebuilds it.\n"
    return note + tomli_w.dumps(progress.model_dump(exclude_none=True))


def saved_text(path: Path) -> str | None:
    """progress.toml as it stands, None where there is none; bytes that are no text are shown as such.

    Empty where something stands there that cannot be read as a file of this program."""
    try:
        return read_bytes(path / PROGRESS).decode("utf-8", errors="backslashreplace")
    except FileFault:
        return "" if os.path.lexists(path / PROGRESS) else None


def keep_aside(path: Path, at: datetime) -> Path:
    """Put progress.toml beside itself under a dated name, so that nothing in it is lost. The new path."""
    kept = free(path / f"progress.kept-{at.strftime('%Y-%m-%dT%H%M%S')}.toml")
    (path / PROGRESS).replace(kept)
    kept.chmod(0o600)
    return kept


def require_profile(path: Path) -> None:
    """FileFault where there is no such folder, naming the nearest one beside it that is a profile."""
    if path.is_dir():
        return
    from coach.toml.value_faults import nearest

    beside = [one.name for one in path.parent.iterdir() if is_client(one)] if path.parent.is_dir() else []
    mend = "give the folder of a profile, the one with a profile.toml in it"
    near = nearest(path.name, beside)
    raise FileFault([whole_file(path, "there is no such profile", "a profile's folder", mend, near)])
