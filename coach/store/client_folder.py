"""A client's folder as files: profile, prescription, records and progress, read together."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import replace

from coach.model.base import Name
from coach.model.instruction import Instruction
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.programme.progress_file import ProgressFile
from coach.model.programme.seen_at_visits import as_seen_at
from coach.model.programme.session_file import SessionFile
from coach.model.programme.written import Written
from coach.model.progress import Progress
from coach.model.record import Record
from coach.store.client_paths import (
    PROFILE,
    PROGRESS,
    RECORDS,
    is_client,
    unread,
    unreadable_folders,
)
from coach.store.guards.torn_ends import confirmed_torn_ends, torn_fault
from coach.store.measured_sets.measured_files import (
    NO_FILES,
    MeasuredFiles,
    MeasuredSets,
    measured_sets,
    read_measured_files,
)
from coach.store.programme.confirmed_dates import CONFIRMED, with_confirmed_dates
from coach.store.programme.pieces import read_profile
from coach.store.programme.prescribed import Prescribed, read_prescribed
from coach.store.programme.visits import read_visits
from coach.store.records import record_damage, record_file
from coach.store.records.record_file import REPLACED, RawRecord, StoredRecord, StoredSession, is_of_programme
from coach.store.sync_conflicts import SyncCopy, copies_of, sync_faults, without_copies
from coach.toml.atomic_write import make_folder, remove_leftovers, replace_file, unused_path
from coach.toml.diagnostic import Diagnostic, FileFault, collect_faults, whole_file
from coach.toml.reader import is_there, parse_table, read_bytes, read_text
from coach.toml.writer import dump

if TYPE_CHECKING:
    from coach.model.programme.visit_file import VisitFile

# Records are named by the local time of their start: local times around the world are up to 26 hours apart (UTC-12 to
# UTC+14; IANA time zone database, from memory).
_LARGEST_OFFSET = timedelta(hours=26)


class SavedProgress(Struct, frozen=True):
    """Where an exercise stands by progress.toml, and the keys that this has: an older program wrote fewer."""

    progress: Progress
    keys: tuple[str, ...]

    @classmethod
    def of(cls, progress: Progress) -> "SavedProgress":
        """As it is when it has just been written."""
        return cls(progress, _keys_of(progress.model_dump(exclude_none=True)))


class ClientFolder(Struct, frozen=True, dict=True):
    """The files of one client as read at one moment, looked at for one exercise of the programme.

    `profile` and `prescription` are those of the exercise `name`, on its side; `own_profile` and `prescribed` are of
    the client. In a folder of format 1 there is one exercise, without a name. `saved` is progress.toml, None where
    there is none or where it cannot be read. It is derived from the rest, so faults in it are in `saved_faults` and
    prevent nothing. `raw_records` are in order of their file names and are parsed on first use. `damaged` are records
    that cannot be trusted, and `copies` other versions of the profile and of what is prescribed. `replaced` are
    versions of a record that another program wrote over the running one, and `torn` ends of records that were cut off
    after they had been saved. `visits` are in order; what was measured at
    them is in `profile` and in `own_profile`.
    """

    path: Path
    profile: Profile
    prescription: Prescription
    prescribed: Prescribed
    own_profile: Profile
    raw_records: tuple[RawRecord, ...]
    saved: Progress | None
    saved_by_name: Mapping[Name | None, SavedProgress] = field(default_factory=dict)
    saved_faults: tuple[Diagnostic, ...] = ()
    damaged: tuple[RawRecord, ...] = ()
    copies: tuple[SyncCopy, ...] = ()
    replaced: tuple[Path, ...] = ()
    name: Name | None = None
    visits: tuple["VisitFile", ...] = ()
    measured_files: MeasuredFiles = NO_FILES
    torn: tuple[Path, ...] = ()

    def for_exercise(self, name: Name | None) -> "ClientFolder":
        """The same files, looked at for another exercise. Raises KeyError where there is none of that name.

        Records that were parsed for one exercise are not parsed again for the next.
        """
        saved = self._saved(name)
        other = replace(
            self,
            name=name,
            profile=self.prescribed.profile_for(name, self.own_profile),
            prescription=self.prescribed.of(name).with_right_dates,
            saved=saved.progress if saved is not None else None,
        )
        parsed = self.__dict__.get("stored_sessions")
        if parsed is not None and other.prescription.right_dates == self.prescription.right_dates:
            other.__dict__["stored_sessions"] = parsed
        return other

    def _saved(self, name: Name | None) -> SavedProgress | None:
        """The progress of an exercise; that of format 1 is of the first exercise."""
        saved = self.saved_by_name.get(name)
        before = self.saved_by_name.get(None)
        if saved is None and before is not None and name == self.prescribed.names[0]:
            return SavedProgress(before.progress.model_copy(update={"name": name}), before.keys)
        return saved

    @property
    def saved_keys(self) -> frozenset[str]:
        """The keys that the saved progress of this exercise has."""
        saved = self._saved(self.name)
        return frozenset(saved.keys if saved is not None else ())

    @property
    def conflicting_copies(self) -> tuple[SyncCopy, ...]:
        """The copies that say something else than the file: no session is safe before a person has chosen."""
        return tuple(copy for copy in self.copies if copy.differs)

    @property
    def notices(self) -> tuple[Diagnostic, ...]:
        """Everything about these files that somebody should know and that prevents nobody from reading them."""
        from coach.store.guards.damage_covered import what_follows

        tell, in_its_mark = record_damage.damage_fault, " in its last line, and nothing of it is lost"
        note = what_follows(self) if self.damaged else ""
        damaged = [tell(raw, note) for raw in self.damaged]
        marks = [tell(raw, in_its_mark) for raw in self.raw_records if raw.damage == "mark"]
        aside = (*map(_replaced_fault, self.replaced), *map(torn_fault, self.torn))
        return (*damaged, *marks, *aside, *sync_faults(self))

    @cached_property
    def stored_sessions(self) -> tuple[StoredSession, ...]:
        """Every session with its file, in order of time. Raises FileFault with every fault of every record."""
        return _parse_in_order(self.raw_records, self.prescription)

    @cached_property
    def stored_records(self) -> tuple[StoredRecord, ...]:
        """The records of every session, in order of time. Raises FileFault with every fault of every record."""
        found = tuple(record for session in self.stored_sessions for record in session.records)
        return found if self.prescribed.programme is None else tuple(map(self._named, found))

    @cached_property
    def measured(self) -> MeasuredSets:
        """What a sensor measured of sets. Raises FileFault with every fault of every record."""
        return measured_sets(self.measured_files, self.stored_records if self.measured_files != NO_FILES else ())

    @property
    def records(self) -> tuple[Record, ...]:
        """Every record in order of time. Raises FileFault with every fault of every record."""
        return tuple(stored.record for stored in self.stored_records)

    @cached_property
    def newest(self) -> StoredRecord | None:
        """The newest record; of several exercises the one begun last.

        Only files that may be the newest by their names are parsed. Raises FileFault with every fault of these.
        """
        session = self.newest_session
        return None if session is None else self._named(session.records[-1])

    @cached_property
    def newest_session(self) -> StoredSession | None:
        """The newest session, as `newest`."""
        if "stored_sessions" in self.__dict__:
            return next(reversed(self.stored_sessions), None)
        confirmed = any(CONFIRMED in raw.content for raw in self.raw_records)
        if self.prescription.right_dates or confirmed:  # a file keeps the name that it got from the wrong clock
            return next(reversed(self.stored_sessions), None)
        starts = (record_file.start_from_name(raw.path) for raw in reversed(self.raw_records))
        last = next((start for start in starts if start is not None), None)
        first = record_file.name_of(last - _LARGEST_OFFSET) if last is not None else ""
        # Names given by this program sort by time; a file with any other name may be of any day.
        near = [raw for raw in self.raw_records if raw.path.name >= first or not record_file.is_own_name(raw.path)]
        return next(reversed(_parse_in_order(near, self.prescription)), None)

    @property
    def open_record(self) -> StoredRecord | None:
        """The newest record, if it has no closing entry."""
        return self.newest if self.newest is not None and self.newest.record.ended is None else None

    @property
    def signed(self) -> tuple[Instruction, ...]:
        """Every instruction, whichever exercise it is for."""
        programme = self.prescribed.programme
        return self.prescription.sign_offs if programme is None else self.prescribed.instructions

    @property
    def written(self) -> tuple[Written | None, ...]:
        """By whom everything in the folder was written that only grows: records, instructions and visits."""
        signed = (one.written for one in self.prescribed.instructions)
        return (
            *signed,
            *(one.written for one in self.visits),
            *(one.session.written for one in self.stored_sessions),
        )

    def _named(self, stored: StoredRecord) -> StoredRecord:
        """A record from before there was a programme belongs to the exercise that continues it."""
        programme, record, side = self.prescribed.programme, stored.record, self.own_profile.side
        if programme is None or record.name is not None:
            return stored
        name = programme.owner_of(record.exercise, side, side) or record.exercise
        return replace(stored, record=record.model_copy(update={"name": name}))

    @property
    def is_clear(self) -> bool:
        """Whether every file can be read and none has two versions. Raises FileFault for a record."""
        _ = self.stored_sessions
        return not self.conflicting_copies and not self.damaged

    @property
    def is_session_open(self) -> bool:
        """Whether the newest session may be appended to: its record has no end, or an exercise of it may follow."""
        newest = self.newest_session
        between = newest is not None and isinstance(newest.session, SessionFile) and newest.session.is_open
        return between or self.open_record is not None

    def without_open_record(self) -> "ClientFolder":
        """The same files without the record that has no closing entry."""
        left = self.open_record
        if left is None:
            return self
        return replace(self, raw_records=tuple(raw for raw in self.raw_records if raw.path != left.path))

    def with_record(self, new: RawRecord) -> "ClientFolder":
        """The same files with one more record, or with another state of a record that is there already."""
        others = (raw for raw in self.raw_records if raw.path != new.path)
        return replace(self, raw_records=tuple(sorted((*others, new), key=lambda raw: raw.path.name)))


def read_client_folder(path: Path, repair: bool = False) -> ClientFolder:
    """Read everything in a client's folder. Raises FileFault with every fault of every file.

    With `repair`, which is only for the holder of the lock, what an interrupted write left behind is removed, and the
    torn end of a record is moved to a file of its own. Otherwise nothing is written.
    """
    require_profile(path)
    faults = unread(path)
    if faults:
        raise FileFault(faults)
    profile = collect_faults(lambda: read_profile(path / PROFILE), faults)
    prescribed = read_prescribed(path, faults)
    visits = read_visits(path, faults)
    saved_faults: list[Diagnostic] = []
    if repair:
        remove_leftovers(path)
        remove_leftovers(path / RECORDS)
    there = is_there(path / PROGRESS)
    saved = collect_faults(lambda: read_progress(path / PROGRESS), saved_faults) if there else None
    files = sorted((path / RECORDS).glob("*.toml"), key=lambda file: file.name) if (path / RECORDS).is_dir() else []
    read = [collect_faults(partial(record_file.read_raw, file, repair), faults) for file in files]
    found, seal = [raw for raw in read if raw is not None], record_damage.read_seal(path)
    if prescribed is not None:
        faults += record_damage.missing_instructions(path, prescribed.place, prescribed.signing_times, seal)
        faults += record_damage.missing_version(prescribed.path, seal)
    damaged = record_damage.damaged_records(path, found, seal)
    raw_records = tuple(raw for raw in found if raw not in damaged)
    if faults or profile is None or prescribed is None:
        for raw in raw_records:
            collect_faults(partial(record_file.parse, raw), faults)
        raise FileFault(faults)
    known = as_seen_at(visits, profile)
    whole = ClientFolder(
        path,
        known,
        prescribed.prescription,
        prescribed,
        known,
        raw_records,
        None,
        saved or {},
        tuple(saved_faults),
        damaged,
        (*copies_of(path / PROFILE, profile), *prescribed.copies),
        tuple(sorted((path / RECORDS).glob(f"*{REPLACED}"))),
        visits=visits,
        measured_files=read_measured_files(path),
        torn=confirmed_torn_ends(path / RECORDS),
    )
    return whole.for_exercise(prescribed.names[0])


def read_progress(path: Path) -> dict[Name | None, SavedProgress]:
    """progress.toml: where each exercise stands, by its name; of format 1 there is one without. Raises FileFault."""
    text = read_text(path)
    if is_of_programme(text):
        table = parse_table(text, path, ProgressFile)
        each = zip(table.as_model(ProgressFile).exercises, table.data["exercises"], strict=True)
        return {one.name: SavedProgress(one, _keys_of(given)) for one, given in each}
    table = parse_table(text, path, Progress)
    return {None: SavedProgress(table.as_model(Progress), _keys_of(table.data))}


def _keys_of(given: Mapping[str, object]) -> tuple[str, ...]:
    """The keys of a saved progress, by their names of today."""
    return tuple(sorted(key for key in Progress.as_now(Progress.as_read(dict(given))) if key != "format"))


def _replaced_fault(path: Path) -> Diagnostic:
    what = "another program put this in the place of the record of a running session, which was then written again"
    fix = "compare it with the record of that name, and move it out of this folder"
    return whole_file(path, what, "one record for one session", fix)


def _parse_in_order(raw_records: Iterable[RawRecord], prescription: Prescription) -> tuple[StoredSession, ...]:
    """The sessions in order of time, at the dates that the therapist has put right."""
    faults: list[Diagnostic] = []
    read = [collect_faults(partial(record_file.parse_session, raw), faults) for raw in raw_records]
    right = prescription.right_dates
    parsed = [
        replace(one, session=one.session.moved_to(right[one.path.name])) if one and one.path.name in right else one
        for one in read
    ]
    single = without_copies([stored for stored in parsed if stored is not None], faults)
    if faults:
        raise FileFault(faults)
    single = with_confirmed_dates(single)
    return tuple(sorted(single, key=lambda stored: stored.session.started))


def records_folder(path: Path) -> Path:
    """The folder of a client's records; it is made if it is missing."""
    make_folder(path / RECORDS)
    return path / RECORDS


def save_progress(path: Path, exercises: Sequence[Progress]) -> None:
    """Replace progress.toml, completely or not at all. Raises OSError."""
    replace_file(path / PROGRESS, progress_text(exercises))


def progress_text(exercises: Sequence[Progress]) -> str:
    """progress.toml as text: the same progress of each exercise gives the same bytes."""
    comment = "Where the client stands. Derived from the records; `coach history` rebuilds it."
    if exercises[0].name is None:
        return dump(exercises[0].model_dump(exclude_none=True), comment)
    each = [one.model_dump(exclude_none=True, exclude={"format"}) for one in exercises]
    return dump({"format": 2, "exercises": each}, comment)


def saved_text(path: Path) -> str | None:
    """The text of progress.toml, None where there is none. Bytes that are not UTF-8 are shown as escapes.

    Empty where something of that name cannot be read as a file.
    """
    if not is_there(path / PROGRESS):
        return None
    try:
        return read_bytes(path / PROGRESS).decode("utf-8", errors="backslashreplace")
    except FileFault:
        return ""


def move_progress_aside(path: Path, at: datetime) -> Path:
    """Rename progress.toml to a dated name in the same folder, and return the new path. Raises OSError."""
    copy = unused_path(path / f"progress.kept-{at.strftime('%Y-%m-%dT%H%M%S')}.toml")
    (path / PROGRESS).replace(copy)
    if not copy.is_symlink():  # else what it leads to, somewhere else, would be changed
        copy.chmod(0o700 if copy.is_dir() else 0o600)  # a folder that nobody may enter could not be looked at
    return copy


def require_profile(path: Path) -> None:
    """Raise FileFault where there is no such folder, naming the profile next to it with the most similar name."""
    if path.is_dir():
        return
    faults = [] if path.is_file() else unreadable_folders(path.parent, (path.name,))
    if faults:
        raise FileFault(faults)
    from coach.store.home.places import is_bare_name, known_names
    from coach.toml.nearest_name import nearest_name

    others = [one.name for one in path.parent.iterdir() if is_client(one)] if path.parent.is_dir() else []
    others += known_names() if is_bare_name(str(path)) else ()
    fix = "give the folder of a profile, the one with a profile.toml in it"
    near = nearest_name(path.name, others)
    raise FileFault([whole_file(path, "there is no such profile", "a profile's folder", fix, near)])
