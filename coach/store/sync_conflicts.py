"""What a program for synchronising folders between machines has left: copies of a client's files, or an older one."""

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from msgspec import Struct

from coach.content_files.names_of_copies import is_name_of_copy
from coach.frozen import FromFile
from coach.model.instruction import Instruction
from coach.model.prescription import Prescription
from coach.store.client_paths import PROFILE, PROGRESS
from coach.store.records.record_file import StoredSession, is_own_name
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file
from coach.toml.reader import read_model

if TYPE_CHECKING:
    from coach.store.client_folder import ClientFolder

Model = TypeVar("Model", bound=FromFile)


class SyncCopy(Struct, frozen=True):
    """Another version of a file that people write.

    `differs`: it says something that the file itself does not, as far as can be told, so a person has to choose.
    `more` is what it says more, for the therapist.
    """

    path: Path
    of: str
    differs: bool
    more: str = ""

    @property
    def fault(self) -> Diagnostic:
        """What is wrong, and what to do about it."""
        if not self.differs:
            what = f"this is a copy of {self.of} that says nothing more than {self.of} does"
            return whole_file(self.path, what, "one file of that name", "move it out of this folder, or delete it")
        what = f"this is another version of {self.of}, and there is no session while both are here{self.more}"
        fix = f"compare the two, sign or write in {self.of} what is missing there, and move this one elsewhere"
        return whole_file(self.path, what, "one file of that name", fix)


def sync_faults(folder: "ClientFolder") -> tuple[Diagnostic, ...]:
    """A fault for each copy, and one where an older profile may have been put back in the place of a newer one."""
    return (*(copy.fault for copy in folder.copies), *_older_profile(folder))


def _older_profile(folder: "ClientFolder") -> Iterator[Diagnostic]:
    """A band whose newest measurement is gone from the profile, as far as the kept progress still knows it.

    Nothing else that is kept knows an earlier profile, and the next session keeps what the profile then says.
    """
    known, now = folder.saved.measured_on if folder.saved is not None else {}, folder.profile.measured_on
    for name in sorted(known.keys() & {band.name for band in folder.profile.bands}):
        if name not in now or now[name] < known[name]:
            said = f"as measured on {now[name]}" if name in now else "without a day of its measurement"
            what = (
                f"it has the {name} band {said}, and {PROGRESS} knew a measurement of {known[name]}: an older copy "
                f"of {PROFILE} may have been put back"
            )
            fix = "put the newer one back from a backup; if the day was put right, the next session keeps it so"
            yield whole_file(folder.path / PROFILE, what, f"the {PROFILE} that was written last", fix)


def copies_of(path: Path, present: FromFile | None) -> tuple[SyncCopy, ...]:
    """The copies of a file that lie next to it; `present` is what the file itself holds, None if it is unreadable."""
    try:
        names = sorted(one.name for one in path.parent.iterdir())
    except OSError:
        return ()
    found = [path.with_name(name) for name in names if is_name_of_copy(name, path)]
    return tuple(_compared(copy, path, present) for copy in found)


def _compared(copy: Path, path: Path, present: FromFile | None) -> SyncCopy:
    if present is None:
        return SyncCopy(copy, path.name, differs=True)
    try:
        other = read_model(copy, type(present))
    except FileFault:
        return SyncCopy(copy, path.name, differs=True, more=". It cannot be read")
    if other == present:
        return SyncCopy(copy, path.name, differs=False)
    if isinstance(present, Prescription) and isinstance(other, Prescription):
        missing = [one for one in other.sign_offs if one not in present.sign_offs]
        if not missing and _is_earlier(other, present):
            return SyncCopy(copy, path.name, differs=False)
        return SyncCopy(copy, path.name, differs=True, more=signed_there(missing))
    return SyncCopy(copy, path.name, differs=True)


def signed_there(instructions: Sequence[Instruction]) -> str:
    """That these were only signed in a copy; empty without any."""
    signed = ", ".join(f"{one.what} of {one.at:%Y-%m-%d %H:%M} by {one.initials}" for one in instructions)
    return f". Only signed there: {signed}" if signed else ""


def _is_earlier(other: Prescription, present: Prescription) -> bool:
    """Whether the two differ only in what the instructions that `present` has more have changed."""
    later = [one for one in present.sign_offs if one not in other.sign_offs]
    keys = {change.key.partition(".")[0] for one in present.sign_offs for change in one.changed}
    keys = keys if any(one.changed or one.what == "take_back" for one in later) else set()
    left_out = {"sign_offs", *keys}
    return other.model_dump(exclude=left_out) == present.model_dump(exclude=left_out)


def without_copies(stored: Iterable[StoredSession], faults: list[Diagnostic]) -> list[StoredSession]:
    """One record for each session: of several copies, the longest.

    A copy has a name that this program does not give, and starts at the same second as another record. Records are
    only appended to, so the shorter of two copies is an earlier state of the longer. Where it is not, the session was
    continued in both; only a person can tell which is right, so it is added to `faults`.
    """
    sessions: list[StoredSession] = []
    copies: list[StoredSession] = []
    for one in stored:
        (sessions if is_own_name(one.path) else copies).append(one)
    for copy in copies:
        same = [number for number, one in enumerate(sessions) if one.session.started == copy.session.started]
        together = next((number for number in same if _is_earlier_state(sessions[number], copy)), None)
        if together is not None:
            sessions[together] = _longer(sessions[together], copy)
        elif same:
            faults.append(_diverged(sessions[same[0]], copy))
        else:
            sessions.append(copy)
    return sessions


def _is_earlier_state(one: StoredSession, copy: StoredSession) -> bool:
    shorter, longer = sorted((one.session, copy.session), key=lambda session: len(session.entry))
    return longer.model_copy(update={"entry": longer.entry[: len(shorter.entry)]}) == shorter


def _longer(one: StoredSession, copy: StoredSession) -> StoredSession:
    return copy if len(copy.session.entry) > len(one.session.entry) else one


def _diverged(one: StoredSession, copy: StoredSession) -> Diagnostic:
    what = f"this is another record of the session in {one.path.name}, and the two differ"
    fix = "ask the therapist which of the two is right, and move the other out of this folder"
    return whole_file(copy.path, what, "one record for one session", fix)
