"""The days on which a client trained, from the records as they lie there: without reading each of them."""

from datetime import date

from coach.store.client_folder import ClientFolder
from coach.store.records.record_file import start_from_name

_SET = b'\nkind = "set"\n'  # in the file of a session in which a set was done


def days_trained(folder: ClientFolder) -> tuple[date, ...]:
    """The days with a set of any exercise, in order of time, at the dates that the therapist has put right."""
    right = folder.prescription.right_dates
    done = [raw.path for raw in folder.raw_records if _SET in raw.content]
    starts = [right.get(path.name) or start_from_name(path) for path in done]
    return tuple(sorted({start.date() for start in starts if start is not None}))
