"""Checks of a client's folder as a whole: records that can be read, copies of files, and dates that are to come."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

from coach.store.client_folder import ClientFolder, read_client_folder
from coach.store.client_paths import PRESCRIPTION, PROFILE
from coach.store.measured_files import read_measured
from coach.store.sync_conflicts import copies_of
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file


def check_files(path: Path, now: datetime | None) -> tuple[Diagnostic, ...]:
    """The faults of the records and of copies, and of dates after `now`; None where that is not to be checked.

    Faults of profile and prescription are left to the checks that show them in their lines.
    """
    try:
        folder = read_client_folder(path)
        dated = tuple(_dates_to_come(folder, now)) if now is not None else ()
        _ = folder.stored_records
    except FileFault as fault:
        own = (path / PROFILE, path / PRESCRIPTION)
        copies = (*copies_of(own[0], None), *copies_of(own[1], None))
        return (*(one for one in fault.faults if one.path not in own), *(copy.fault for copy in copies))
    return (*folder.notices, *dated, *read_measured(folder).faults)


def _dates_to_come(folder: ClientFolder, now: datetime) -> Iterator[Diagnostic]:
    expected = f"a date before {now:%Y-%m-%d %H:%M}, which is now by the clock of this computer"
    fix = "set the clock right; if it is right, put the date right: coach steer PROFILE correct_date "
    for stored in folder.stored_records:
        if stored.record.last_at > now:
            what = f"this session is dated {stored.record.started:%Y-%m-%d %H:%M}, and there is no other until then"
            yield whole_file(stored.path, what, expected, f"{fix}record={stored.path.name} right_at=...")
    for one in folder.prescription.sign_offs:
        if one.at > now:
            what = f"an instruction ({one.what}) is dated {one.at:%Y-%m-%d %H:%M}, and there is no session until then"
            again = f"{fix}wrong_at={one.at.isoformat()} right_at=..."
            yield whole_file(folder.path / PRESCRIPTION, what, expected, again)
