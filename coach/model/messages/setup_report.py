"""en/setup_report.toml: the setup of a load step for the therapist: labels of rows, and sentences with places."""

from typing import Annotated, Literal

from pydantic import Field

from coach.model.base import Line
from coach.model.messages.base_messages import PageWords


class SetupReportWords(PageWords):
    """The setup of a load step for the therapist: labels of rows, and sentences with places."""

    file = "setup_report.toml"

    title: Line
    computed: Line
    setup_title: Line
    band: Line
    band_value: Line
    distance: Line
    distance_value: Line
    anchor: Line
    anchor_value: Line
    why_height: dict[Literal["fixed", "nearest", "downward", "not_downward", "kept"], Line]
    turn: Line
    turn_value: Line
    free_height: Line
    free_turn: Line
    price: Line
    price_nothing: Line
    price_no_step: Line
    price_distance: Line
    price_rise: Line
    price_no_rise: Line
    elongation: Line
    elongation_value: Line
    elongation_most: Line
    extrapolated: Line
    near_ceiling: Line
    load_title: Line
    torque: Line
    total: Line
    of_band: Line
    of_arm: Line
    rotation: Line
    start: Line
    peak: Line
    mean: Line
    end: Line
    arm_values: Line
    work: Line
    work_value: Line
    torque_time: Line
    torque_time_value: Line
    curve_title: Line
    curve_axes: Line
    curve: dict[Literal["easier", "this", "harder"], Line]
    curve_none: dict[Literal["easier", "harder"], Line]
    ladder_title: Line
    ladder_columns: Annotated[tuple[Line, ...], Field(min_length=6, max_length=6)]
    ladder_part: Line
    next: Line
    next_small: Line
    next_large: Line
    places_title: Line
    places_columns: Annotated[tuple[Line, ...], Field(min_length=7, max_length=7)]
    places_part: Line
    place_height: Line
    place_not_at_home: Line
    place_turn: Line
    wrong_title: Line
    wrong: dict[Literal["distance_cm", "height_cm", "turn_deg"], tuple[Line, Line]] = Field(
        description="what is wrong, first where it is too little, then where it is too much"
    )
    wrong_columns: Annotated[tuple[Line, ...], Field(min_length=3, max_length=3)]
    wrong_effect: dict[Literal["harder", "easier", "alike"], Line]
    wrong_trouble: dict[Literal["slack", "over", "impossible"], Line]
    from_above: Line
    from_the_side: Line
    drawn: Line
