"""A measured set beside the tempo that was asked and the answers that were given. Pure."""

from collections.abc import Iterable, Mapping
from statistics import fmean, median
from typing import TYPE_CHECKING, Literal

from msgspec import Struct

if TYPE_CHECKING:
    from coach.model.measured.measured_set import MeasuredSet, MeasuredValue, TimedRepetition
    from coach.model.prescription import Tempo

MeasuredFault = Literal["range_lost", "elbow_moved", "off_tempo", "unreadable"]
Compared = Literal["count", "range", "elbow", "tempo"]
"""What can be answered and measured of one set."""
WayName = Literal["out", "hold", "back"]
Difference = Literal[
    "count", "range_lost", "range_kept", "elbow_moved", "elbow_still", "tempo_rushed", "tempo_unhurried"
]

_PHASES: Mapping[WayName, str] = {"out": "out_s", "hold": "hold_s", "back": "back_s"}
ANSWERED_FAULTS: Mapping[Compared, str] = {
    "range": "end_range_lost",
    "elbow": "elbow_drifted",
    "tempo": "tempo_rushed",
}
"""The fault that an answer names, by what is measured."""


class OffTempo(Struct, frozen=True):
    """The part of a repetition whose usual seconds are furthest from those asked."""

    way: WayName
    took_s: float
    asked_s: float
    u_s: float


def usual_s(one: "MeasuredSet", way: WayName) -> float | None:
    """The median seconds of one part of the repetitions; None where none could be measured."""
    seconds = [_seconds(repetition, way) for repetition in one.repetition]
    known = [value for value in seconds if value is not None]
    return median(known) if known else None


def usual_u_s(one: "MeasuredSet", way: WayName) -> float:
    """The standard uncertainty of `usual_s`: that of one reading, as what is common to all does not average out."""
    values: list[MeasuredValue | None] = [getattr(repetition, _PHASES[way]) for repetition in one.repetition]
    return median([value.u for value in values if value is not None] or [0.0])


def at_tempo(one: "MeasuredSet", tempo: "Tempo", limits: Mapping[str, float]) -> int:
    """The dose received: the repetitions whose ways out and back both took the seconds asked, within the limit."""
    return sum(
        all(_within(_seconds(repetition, way), _asked(tempo, way), limits) for way in ("out", "back"))
        for repetition in one.repetition
    )


def timed(one: "MeasuredSet") -> int:
    """The repetitions of a set whose tempo is known: none where the way out could not be told from the way back."""
    return one.count if one.repetition else 0


def off_tempo(one: "MeasuredSet", tempo: "Tempo", limits: Mapping[str, float]) -> OffTempo | None:
    """What is furthest from the tempo asked; None where enough repetitions were at tempo."""
    off = len(one.repetition) - at_tempo(one, tempo, limits)
    if off < limits["measured_off_tempo"] * len(one.repetition):
        return None
    found = [
        OffTempo(way, took, _asked(tempo, way), usual_u_s(one, way))
        for way in _PHASES
        if _asked(tempo, way) > 0
        for took in (usual_s(one, way),)
        if took is not None
    ]
    return max(found, key=lambda one: abs(one.took_s - one.asked_s) / one.asked_s, default=None)


def range_lost_deg(one: "MeasuredSet") -> "MeasuredValue | None":
    """How much less the mean range is than that of the repetition without the band; None without either."""
    from coach.model.measured.measured_set import MeasuredValue

    ranges = [repetition.range_deg for repetition in one.repetition if repetition.range_deg is not None]
    whole = one.unloaded_range_deg
    if whole is None or not ranges:
        return None
    shared = fmean(each.u for each in ranges)  # what is wrong with one repetition is mostly wrong with all
    return MeasuredValue(value=whole.value - fmean(each.value for each in ranges), u=(whole.u**2 + shared**2) ** 0.5)


def elbow_moved_deg(one: "MeasuredSet") -> "MeasuredValue | None":
    """The tilt of the upper arm over the set or within a repetition: the one that is surely larger. None without."""
    known = [tilt for tilt in (one.elbow_drift_deg, one.elbow_within_deg) if tilt is not None]
    return max(known, key=lambda tilt: tilt.value - 2 * tilt.u, default=None)


def measured_faults(one: "MeasuredSet", tempo: "Tempo", limits: Mapping[str, float]) -> tuple[MeasuredFault, ...]:
    """What was measured beyond its limit.

    Range and tilt count where they are beyond by two standard uncertainties. The tempo is judged without its
    uncertainty, and a repetition with a part that is not known counts as off: both are the careful side.
    """
    found: dict[MeasuredFault, bool] = {
        "range_lost": _beyond(range_lost_deg(one), limits["measured_range_lost_deg"]),
        "elbow_moved": _beyond(elbow_moved_deg(one), limits["measured_elbow_drift_deg"]),
        "off_tempo": bool(one.repetition) and off_tempo(one, tempo, limits) is not None,
    }
    return tuple(fault for fault, is_there in found.items() if is_there)


def _beyond(value: "MeasuredValue | None", limit: float) -> bool:
    return value is not None and value.value - 2 * value.u > limit


def differences(
    one: "MeasuredSet",
    repetitions: int,
    faults: Iterable[str],
    asked_about: Iterable[str],
    tempo: "Tempo",
    limits: Mapping[str, float],
) -> tuple[Difference, ...]:
    """Where the measured set and what was recorded disagree.

    `repetitions` and `faults` are those recorded; `asked_about` are the faults that the client was asked about. A
    value within its uncertainty (two standard uncertainties) of the limit disagrees with nothing.
    """
    found: list[Difference] = []
    if abs(one.count - repetitions) > (1 if one.cut_off else 0):
        found.append("count")
    lost = range_lost_deg(one)
    said, known = set(faults), set(asked_about)
    pairs: tuple[tuple[str, MeasuredValue | None, str, Difference, Difference], ...] = (
        (ANSWERED_FAULTS["range"], lost, "measured_range_lost_deg", "range_lost", "range_kept"),
        (ANSWERED_FAULTS["elbow"], elbow_moved_deg(one), "measured_elbow_drift_deg", "elbow_moved", "elbow_still"),
    )
    for fault, value, limit, more, less in pairs:
        if value is None or fault not in known:
            continue
        if fault not in said and _beyond(value, limits[limit]):
            found.append(more)
        if fault in said and value.value + 2 * value.u < limits[limit]:
            found.append(less)
    if one.repetition and ANSWERED_FAULTS["tempo"] in known:
        off, said_rushed = off_tempo(one, tempo, limits), ANSWERED_FAULTS["tempo"] in said
        rushed = off is not None and off.took_s < off.asked_s
        if rushed != said_rushed:
            found.append("tempo_rushed" if rushed else "tempo_unhurried")
    return tuple(found)


def _seconds(repetition: "TimedRepetition", way: WayName) -> float | None:
    value: MeasuredValue | None = getattr(repetition, _PHASES[way])
    return value.value if value is not None else None


def _asked(tempo: "Tempo", way: WayName) -> float:
    asked: float = getattr(tempo, _PHASES[way])
    return asked


def _within(took: float | None, asked: float, limits: Mapping[str, float]) -> bool:
    return took is not None and abs(took - asked) <= limits["measured_tempo_within"] * asked
