"""en/export.toml: what the export says before it writes, and the words inside it that no other file says."""

from typing import Annotated

from pydantic import Field

from coach.model.base import Line
from coach.model.exercise import Direction
from coach.model.messages.base_messages import PageWords

Lines = Annotated[tuple[Line, ...], Field(min_length=1)]


class ExportWords(PageWords):
    """What the export says on the terminal before it writes, and the words inside it that no other file says."""

    file = "export.toml"

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
    range: dict[Direction, Line]
    strength: dict[Direction, Line]
