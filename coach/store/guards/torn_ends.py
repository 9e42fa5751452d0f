"""Records that were cut off: before their first mark, or with an end that had been confirmed."""

from collections.abc import Sequence
from pathlib import Path

from coach.store.records.record_marks import is_of_several_appends
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file
from coach.toml.reader import read_bytes

TORN = ".torn"
FROM_BACKUP = "restore a backup into another folder (coach restore) and copy this file from there"


def confirmed_torn_ends(records: Path) -> tuple[Path, ...]:
    """The torn ends beside the records that hold more than what was not confirmed, or that cannot be read."""
    return tuple(path for path in sorted(records.glob(f"*{TORN}")) if _was_confirmed(path))


def torn_fault(path: Path) -> Diagnostic:
    """What such a torn end is, and what to do."""
    what = f"this is the end of the record {path.stem.partition('.')[0]}, and it was cut off after it had been saved"
    fix = (
        f"{FROM_BACKUP.replace('this file', 'the record')}, or see with the client what is lost; then move this away"
    )
    return whole_file(path, what, "a record with all that was saved", fix)


def unmarked_faults(path: Path, content: bytes, faults: Sequence[Diagnostic]) -> list[Diagnostic]:
    """What is wrong with a record that cannot be read and has no mark, which its first lines were written with.

    `faults` are those of the text; where it ends within a line, nobody has to fill anything in.
    """
    state = "is cut off before its first line # whole" if content.strip() else "is empty"
    fix = f"{FROM_BACKUP}, or from another computer that has it; a file of this name and {TORN} may hold its end"
    lost = whole_file(path, f"this record {state}", "a record as this program wrote it", fix)
    return [lost, *(faults if content.endswith(b"\n") else ())]


def _was_confirmed(path: Path) -> bool:
    try:
        return is_of_several_appends(read_bytes(path))
    except FileFault:
        return True
