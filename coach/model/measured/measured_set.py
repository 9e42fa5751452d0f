"""What a sensor on the forearm measured of one set, as it is kept beside the records."""

from typing import Annotated, Literal

from coach.frozen import AwareDatetime, Bounds, Field, form
from coach.model.base import Frozen, Line, Name, PositionName, SetNumber
from coach.model.measured.tempo_kept import MeasuredFault

FileName = Annotated[str, form(r"^[^/\\\x00-\x1f]+\.toml$", max_length=200)]


class MeasuredValue(Frozen):
    """A value with its standard uncertainty."""

    value: float
    u: Annotated[float, Bounds(ge=0)] = Field(description="standard uncertainty")


class TimedRepetition(Frozen):
    """One repetition; what could not be known is left out."""

    began_s: float = Field(description="seconds from the start of the table")
    out_s: MeasuredValue
    hold_s: MeasuredValue | None = None
    back_s: MeasuredValue | None = None
    relax_s: MeasuredValue | None = None
    range_deg: MeasuredValue | None = None
    evenness: MeasuredValue | None = Field(default=None, description="mean speed of the way out over its greatest")


class MeasuredSet(Frozen):
    """measured/RECORD-setN.toml: one set as a sensor saw it; files are only added, and the newest of a set counts."""

    format: Literal[1]
    record: FileName = Field(description="the file of the session in records")
    set: SetNumber = Field(description="which set of that session")
    kept: AwareDatetime = Field(description="when it was kept")
    exercise: Name
    position: PositionName
    name: Name | None = Field(default=None, description="of a programme: which exercise, by its name there")
    table: Line = Field(description="the name of the table it was read from")
    sha256: Annotated[str, form(r"^[0-9a-f]{64}$")] = Field(description="of the table")
    columns: Annotated[tuple[Line, ...], Bounds(min_length=7, max_length=7)] = Field(
        description="time, three of acceleration, three of turning rate"
    )
    units: Annotated[tuple[Line, ...], Bounds(min_length=3, max_length=3)]
    rate_hz: Annotated[float, Bounds(gt=0)]
    count: Annotated[int, Bounds(ge=0, le=200)]
    cut_off: bool = Field(default=False, description="the table begins or ends inside the set")
    unloaded_range_deg: MeasuredValue | None = Field(
        default=None, description="range of the repetition without the band"
    )
    elbow_drift_deg: MeasuredValue | None = Field(
        default=None, description="tilt of the upper arm from the first to the last repetition"
    )
    elbow_within_deg: MeasuredValue | None = Field(
        default=None, description="tilt of the upper arm from the near to the far end of a repetition"
    )
    repetition: tuple[TimedRepetition, ...] = ()
    faults: tuple[MeasuredFault, ...] = Field(
        default=(), description="what was measured beyond its limit, by the limits of the day on which it was kept"
    )
    holds: bool = Field(
        default=False, description="the therapist had chosen by then that a measured fault lets nothing rise"
    )
