"""What a clinic says of itself, and the limits with the values that it chose, within their hard bounds."""

from pathlib import Path

from coach.model.content import ClinicOverride
from coach.model.content_entries import Clinic, ClinicLimits, Limit
from coach.toml.diagnostic import FileFault
from coach.toml.reader import is_there, read_model

CLINIC, CLINIC_LIMITS = "clinic.toml", "limits.toml"


def read_clinic(clinic: Path | None) -> Clinic:
    """What a clinic says of itself; nothing where it has no such file. Raises FileFault."""
    path = clinic / CLINIC if clinic is not None else None
    return read_model(path, Clinic) if path is not None and is_there(path) else Clinic()


def apply_clinic_limits(
    clinic: Path, limits: tuple[Limit, ...]
) -> tuple[tuple[Limit, ...], tuple[ClinicOverride, ...]]:
    """The limits with the clinic's values, and what it overrides.

    Raises FileFault if a limit is unknown or out of its bounds.
    """
    path = clinic / CLINIC_LIMITS
    if not is_there(path):
        return limits, ()
    moved = read_model(path, ClinicLimits).limits
    from coach.content_files.limit_checks import limit_faults  # only needed if a clinic has limits
    from coach.toml.source_file import SourceFile

    faults = tuple(limit_faults(moved, limits, SourceFile(path)))
    if faults:
        raise FileFault(faults)
    after = tuple(limit.model_copy(update={"value": moved.get(limit.name, limit.value)}) for limit in limits)
    overrides = (
        ClinicOverride(str(path), f"limits.{limit.name}", f"{limit.value:g}", f"{moved[limit.name]:g}")
        for limit in limits
        if limit.name in moved
    )
    return after, tuple(overrides)
