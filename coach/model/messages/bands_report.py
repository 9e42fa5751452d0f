"""en/bands_report.toml: the bands on the shelf for the therapist."""

from typing import Annotated, Literal

from pydantic import Field

from coach.model.base import Line
from coach.model.messages.base_messages import PageWords


class BandsReportWords(PageWords):
    """The bands on the shelf for the therapist."""

    file = "bands_report.toml"

    title: Line
    band: Line
    resting: Line
    twice: Line
    law: Line
    a_means: Line
    b_means: Line
    columns: Annotated[tuple[Line, ...], Field(min_length=5, max_length=5)]
    curve_axes: Line
    curve: dict[Literal["fitted", "extrapolated", "measured"], Line]
    beyond: Line
    ceiling: Line
    doubts_title: Line
    no_doubt: Line
    out_of_line: Line
    out_of_order: Line
    one_point: Line
    how_to_add: Line
