"""The sections of LANGUAGE/therapist.toml and LANGUAGE/client.toml on sets that a sensor measured."""

from typing import Annotated

from coach.frozen import Bounds
from coach.model.base import Complete, Frozen, Line
from coach.model.measured.tempo_kept import Compared, Difference, WayName


class MeasuredMessages(Frozen):
    """What a table of a sensor holds, before it is kept, and in the history."""

    title: Line
    read: Line
    columns_read: Line
    as_told_before: Line
    offset: Line
    clocks: Line
    which: Line
    unloaded: Line
    no_unloaded: Line
    other: Line
    other_sets: Line
    upside_down: Line
    set: Line
    cut_off: Line
    axes: Line
    columns: Annotated[tuple[Line, ...], Bounds(min_length=7, max_length=7)]
    asked: Line
    known_to: Line
    at_tempo: Line
    lost: Line
    drift: Line
    within: Line
    recorded: Line
    differs: Complete[Difference, Line]
    compared: Complete[Compared, Line]
    course: Line
    agreement: Line
    agreement_of: Line
    unlike: Line
    forecast: Line
    since: Line
    ask: Line
    kept: Line
    not_kept: Line
    needs_yes: Line
    history: Line


class ClientMeasuredMessages(Frozen):
    """One sentence for the client on what the sensor saw."""

    off: dict[WayName, Line]
    kept: Line
    strap: Line
    last_time: Line
    holds: Line
