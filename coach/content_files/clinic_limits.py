"""The limits as a clinic moves them, inside their hard bounds."""

from pathlib import Path

from coach.model.clinic_overlay import ClinicLimits
from coach.model.content import Own
from coach.model.content_entries import Limit
from coach.toml.diagnostic import FileFault
from coach.toml.reader import read_model

MOVED = "limits.toml"


def moved_limits(clinic: Path, limits: tuple[Limit, ...]) -> tuple[tuple[Limit, ...], tuple[Own, ...]]:
    """The limits as the clinic moves them, and what it moved. FileFault for one unknown or out of bounds."""
    path = clinic / MOVED
    if not path.exists():
        return limits, ()
    moved = read_model(path, ClinicLimits).limits
    from coach.content_files.limit_checks import limit_faults  # only who has a clinic that moves limits pays for it
    from coach.toml.source_file import Source

    faults = tuple(limit_faults(moved, limits, Source(path)))
    if faults:
        raise FileFault(faults)
    after = tuple(limit.model_copy(update={"value": moved.get(limit.name, limit.value)}) for limit in limits)
    own = (
        Own(str(path), f"limits.{limit.name}", f"{limit.value:g}", f"{moved[limit.name]:g}")
        for limit in limits
        if limit.name in moved
    )
    return after, tuple(own)
