"""Checks of a client's folder as a whole: records that can be read, copies of files, and dates that are to come."""

from collections.abc import Collection, Iterator
from datetime import datetime, timedelta
from pathlib import Path

from coach.model.instruction import Instruction
from coach.model.programme.seen_at_visits import has_known
from coach.store.client_folder import ClientFolder, read_client_folder
from coach.store.client_paths import PROFILE, PROGRAMME
from coach.store.programme.prescribed import (
    copies_of_versions,
    instruction_files,
    next_version,
    prescribed_file,
    versions,
)
from coach.store.programme.visits import visit_files
from coach.store.sync_conflicts import copies_of
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file

_SECOND = timedelta(seconds=1)


def check_files(path: Path, now: datetime | None) -> tuple[Diagnostic, ...]:
    """The faults of the records and of copies, and of dates after `now`; None where that is not to be checked.

    Faults of profile and prescription are left to the checks that show them in their lines.
    """
    try:
        folder = read_client_folder(path)
        dated = tuple(_dates_to_come(folder, now)) if now is not None else ()
        _ = folder.stored_records
    except FileFault as fault:
        own = (path / PROFILE, prescribed_file(path))
        copies = (*copies_of(own[0], None), *copies_of(own[1], None))
        others = (one for one in fault.faults if one.path not in own)
        return (*others, *(copy.fault for copy in copies), *_no_versions(path))
    return (*folder.notices, *dated, *folder.measured.faults, *_no_versions(path))


def _no_versions(path: Path) -> Iterator[Diagnostic]:
    """Files beside the versions of a programme that are none of them, and no copies of one."""
    known = {*versions(path), *(copy.path for copy in copies_of_versions(path))}
    for file in sorted((path / PROGRAMME).glob("*.toml")):
        if file not in known:
            what, expected = "this is no version of the programme, and nothing in it holds", next_version(path).name
            fix = f"call it {expected} if it is to hold, or move it out of this folder"
            yield whole_file(file, what, f"a version, called by four digits: {expected} is the next", fix)


def _dates_to_come(folder: ClientFolder, now: datetime) -> Iterator[Diagnostic]:
    expected = f"a date before {now:%Y-%m-%d %H:%M}, which is now by the clock of this computer"
    fix = "set the clock right; if it is right, put the date right: coach steer PROFILE correct_date "
    for stored in folder.stored_records:
        if stored.record.last_at > now:
            what = f"this session is dated {stored.record.started:%Y-%m-%d %H:%M}, and there is no other until then"
            yield whole_file(stored.path, what, expected, f"{fix}record={stored.path.name} right_at=...")
    signed = tuple(_signed(folder))
    dates = {one.at for _, one in signed}
    for file, one in signed:
        if _is_to_come(one.at, dates, now):
            what = f"an instruction ({one.what}) is dated {one.at:%Y-%m-%d %H:%M}, and there is no session until then"
            again = f"{fix}wrong_at={one.at.isoformat()} right_at=..."
            yield whole_file(file, what, expected, again)

    yield from _visits_dated_wrongly(folder, now, expected)


def _is_to_come(at: datetime, dates: Collection[datetime], now: datetime) -> bool:
    """Whether a date among others is to come.

    What is signed in the second of another is dated the second after it.
    """
    while at > now and at - _SECOND in dates:
        at -= _SECOND
    return at > now


def _visits_dated_wrongly(folder: ClientFolder, now: datetime, expected: str) -> Iterator[Diagnostic]:
    """Visits with a date to come, and before a session that they knew; none that a later visit has known."""
    visits = visit_files(folder.path, [])
    dates = {visit.at for visit in visits.values()}
    sessions = [one.session for one in folder.stored_sessions]
    fix = "set the clock right, and sign another visit with what was measured: it then holds"
    for file, visit in visits.items():
        if any(has_known(later, visit) and later.at <= now for later in visits.values() if later is not visit):
            continue
        known = [one.started for one in sessions if visit.written and one.written and visit.written.knew(one.written)]
        newest = max(known, default=visit.at)
        if _is_to_come(visit.at, dates, now):
            what = (
                f"this visit is dated {visit.at:%Y-%m-%d %H:%M}: what was measured at it holds as that of a later day"
            )
            yield whole_file(file, what, expected, fix)
        elif visit.at < newest <= now:
            what = (
                f"this visit is dated {visit.at:%Y-%m-%d %H:%M}, and it knew the session of {newest:%Y-%m-%d %H:%M}"
            )
            yield whole_file(file, what, "a date after every session that was known at the visit", fix)


def _signed(folder: ClientFolder) -> Iterator[tuple[Path, Instruction]]:
    """Every instruction with its file, dated as the therapist has put it right."""
    if folder.prescribed.programme is None:
        yield from ((folder.prescribed.path, one) for one in folder.prescription.sign_offs)
        return
    files = instruction_files(folder.path, [])
    right = {one.wrong_at: one.right_at for one in files.values() if one.wrong_at is not None}
    for file, one in files.items():
        yield file, one.model_copy(update={"at": right.get(one.at) or one.at})
