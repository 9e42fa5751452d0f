"""What was ever reported about pain in the sets of a session.

Answers changed afterwards count: a report of pain that is taken back never leads to a rise.
"""

from coach.model import step_names
from coach.model.record import Record

ACHE, SHARP = "ache", "sharp"
PAIN_TROUBLES = (ACHE, SHARP)


def worst_reported(record: Record) -> int | None:
    """The highest pain ever reported in the session, also where the answer was changed afterwards."""
    reported = (worst_in_sets(record), record.answer(step_names.PAIN_NOW))
    return max((pain for pain in reported if isinstance(pain, int)), default=None)


def worst_in_sets(record: Record) -> int | None:
    """The highest pain ever reported in a set, also where the answer was changed afterwards."""
    pains = (step_names.PAIN, step_names.TROUBLE_PAIN)
    reported = (one.value for one in record.said_in_sets if step_names.within_group(one.step) in pains)
    return max((pain for pain in reported if isinstance(pain, int)), default=None)


def report_is_unfinished(record: Record) -> bool:
    """Whether a pain was reported without its place or its size, or the report was taken back."""
    missing: set[str] = set()
    for one in record.said_in_sets:
        group, what = step_names.group_of(one.step), step_names.within_group(one.step)
        if what == step_names.TROUBLE and one.value in PAIN_TROUBLES:
            missing |= {f"{group}.{step_names.TROUBLE_WHERE}", f"{group}.{step_names.TROUBLE_PAIN}"}
        missing.discard(one.step)
    return bool(missing)


def sharp_reported(record: Record) -> bool:
    """Whether a sharp pain was ever reported in a set, also where the answer was changed afterwards."""
    return any(
        step_names.within_group(one.step) == step_names.TROUBLE and one.value == SHARP for one in record.said_in_sets
    )
