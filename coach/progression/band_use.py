"""How much each band was used since it was measured, counted from the records."""

from collections.abc import Mapping
from datetime import date

from coach.model.progress import Progress
from coach.model.record import Record


def used_since(
    used: Mapping[str, float], record: Record, measured_on: Mapping[str, date], unknown: float
) -> dict[str, float]:
    """What the bands have been through after one more record, by their names.

    Counted as repetitions to twice the resting length: each counts by the square of its elongation (ours, so that the
    uncertainty that follows is in proportion to the elongation). A record from before elongations were noted counts
    with `unknown`, the most that a load step may stretch a band. A band measured after the session is not aged by it.
    """
    after, day = dict(used), record.started.date()
    for done, rungs in zip(record.sets_done, record.rungs_of_sets, strict=True):
        grade = rungs.step.grade
        if day >= measured_on.get(grade, day):
            stretched = unknown if rungs.elongation is None else rungs.elongation
            after[grade] = round(after.get(grade, 0.0) + done.repetitions * stretched**2, 1)
    return after


def measured_again(progress: Progress, measured_on: Mapping[str, date]) -> Progress:
    """A progress that was kept, with the use of each band that was measured since its last session at nothing."""
    last = progress.last_session
    kept = {
        name: used
        for name, used in progress.band_use.items()
        if last is None or measured_on.get(name, last.date()) <= last.date()
    }
    return progress.model_copy(update={"measured_on": dict(measured_on), "band_use": kept})
