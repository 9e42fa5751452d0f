"""en/screens.toml, the part of it that leaves the screen: the printed handout and the export."""

from typing import Annotated

from pydantic import Field

from coach.model.base import Frozen, Line

Lines = Annotated[tuple[Line, ...], Field(min_length=1)]


class HandoutWords(Frozen):
    """The printed page that a client takes home; what it shares with the screens is said there."""

    as_of: Line
    after_session: Line
    dose: Line
    rest_and_days: Line
    seconds: Line
    line: Line
    cues_title: Line
    stop_title: Line
    pain: Line
    pain_what_to_do: Line
    not_before: Line
    log_title: Line
    log_day: Line
    log_set: Line
    log_pain: Line
    foot: Line
    written: Line


class ExportWords(Frozen):
    """What the export says on the terminal before it writes, and the words inside it that no other file says."""

    fhir_holds: Lines
    csv_holds: Lines
    no_name: Line
    by_hand: Line
    written: Line
    session_title: Line
    check_in_title: Line
    checks_title: Line
    set_title: Line
    other_title: Line
    plan_title: Line
    dose: Line
    range: Line
    strength: Line
