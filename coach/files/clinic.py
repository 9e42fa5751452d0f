"""A clinic's own content: the folder `clinic` beside the folders of its clients.

It lies where the clients lie: no setting can be forgotten or point elsewhere, and who copies a caseload has it too.
"""

from collections.abc import Iterable, Iterator
from pathlib import Path

from coach.files.diagnostic import Diagnostic, FileFault
from coach.files.toml import read_model
from coach.model.clinic import ClinicLimits
from coach.model.content import Limit
from coach.model.content_set import Own

CLINIC = "clinic"
MOVED = "limits.toml"
_PROFILE = "profile.toml"


def clinic_of(client: Path) -> Path | None:
    """The clinic's folder beside a client's, where there is one."""
    beside = (client if client.name not in ("", "..") else client.resolve()).parent / CLINIC
    return beside if is_clinic(beside) else None


def is_clinic(path: Path) -> bool:
    """Whether a folder is a clinic's own, and not a client, or a folder of clients, of the same name."""
    if path.name != CLINIC or not path.is_dir():
        return False
    return not (path / _PROFILE).exists() and not any(path.glob(f"*/{_PROFILE}"))


def moved_limits(clinic: Path, limits: tuple[Limit, ...]) -> tuple[tuple[Limit, ...], tuple[Own, ...]]:
    """The limits as the clinic moves them, and what it moved. FileFault for one unknown or out of bounds."""
    path = clinic / MOVED
    if not path.exists():
        return limits, ()
    moved = read_model(path, ClinicLimits).limits
    faults = tuple(_limit_faults(path, moved.items(), {limit.name: limit for limit in limits}))
    if faults:
        raise FileFault(faults)
    after = tuple(limit.model_copy(update={"value": moved.get(limit.name, limit.value)}) for limit in limits)
    own = (
        Own(str(path), f"limits.{limit.name}", f"{limit.value:g}", f"{moved[limit.name]:g}")
        for limit in limits
        if limit.name in moved
    )
    return after, tuple(own)


def _limit_faults(path: Path, moved: Iterable[tuple[str, float]], limits: dict[str, Limit]) -> Iterator[Diagnostic]:
    from coach.files.source import Source
    from coach.files.value_faults import nearest

    source = Source(path)
    for name, value in moved:
        limit = limits.get(name)
        if limit is None:
            near, known = nearest(name, list(limits)), f"one of {', '.join(limits)}"
            mend = f"write {near}" if near else "take the line out"
            yield source.at_key(("limits", name), f"there is no limit {name}", known, mend, near)
        elif not limit.low <= value <= limit.high:
            expected = f"a number from {limit.low:g} to {limit.high:g}"
            what = f"{name} = {value:g} is outside its hard bounds"
            yield source.at_value(("limits", name), what, expected, "nobody may move it farther")
