"""The sections of LANGUAGE/therapist.toml for reports and commands."""

from typing import Annotated, Literal, get_args

from coach.frozen import Bounds, EveryName, Field
from coach.model.base import Complete, Frozen, Line, Name
from coach.model.option_names import CaseloadColumn, CaseloadOrder, Direction
from coach.model.record import Status


class PreviewMessages(Frozen):
    """The script of a session as text."""

    title: Line
    today: Line
    work: Line
    no_cue: Line
    total: Line
    decided: Line
    not_yet: Line
    what_if: Line
    next_session: Line
    beside_before: Line
    beside_after: Line
    alike: Line
    own: Line
    own_line: Line
    own_added: Line
    gaps: Line


ScenarioName = Literal[
    "clean",
    "no_two_more",
    "not_sure",
    "fault_once",
    "too_heavy",
    "pain_at_limit",
    "pain_over_limit",
    "not_settled",
    "warning_sign",
    "band_not_sound",
    "under_bottom",
]


class DecisionTableMessages(Frozen):
    """What each kind of session would lead to."""

    title: Line
    how: Line
    columns: Annotated[tuple[Line, ...], Bounds(min_length=6, max_length=6)]
    kind: Annotated[dict[Name, Line], EveryName(get_args(ScenarioName))]
    status: Complete[Status, Line]


class ForecastMessages(Frozen):
    """Where a client may be in some weeks, by simulation."""

    title: Line
    simulation: Line
    assumed_title: Line
    today: Line
    strength: Complete[Literal["here", "elsewhere", "load"], Line] = Field(description="what strength is taken from")
    training: Line
    pain: Line
    sources: Line
    columns: Annotated[tuple[Line, ...], Bounds(min_length=4, max_length=4)]
    drawn: Line
    over: Line
    speed: Line


class SetupReportMessages(Frozen):
    """The setup of a load step and its torque: labels of rows, and sentences with placeholders."""

    title: Line
    computed: Line
    setup_title: Line
    band: Line
    band_value: Line
    distance: Line
    distance_value: Line
    underfoot_value: Line
    anchor: Line
    anchor_value: Line
    why_height: Complete[Literal["fixed", "nearest", "downward", "not_downward", "kept", "foot"], Line]
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
    curve: Complete[Literal["easier", "this", "harder"], Line]
    curve_name: Complete[Literal["easier", "this", "harder"], Line] = Field(description="beside the end of its curve")
    curve_none: Complete[Literal["easier", "harder"], Line]
    ladder_title: Line
    ladder_columns: Annotated[tuple[Line, ...], Bounds(min_length=8, max_length=8)]
    ladder_part: Line
    ladder_drawn: Line
    next: Line
    next_small: Line
    next_large: Line
    next_light: Line
    next_none: Complete[Literal["top", "strength", "uncertain", "too_large"], Line]
    next_offered: Line
    easier: Line
    easier_value: Line
    likely: Line
    likely_value: Line
    likely_one_point: Line
    likely_curve: Line
    input: Complete[
        Literal[
            "mark",
            "anchor_height",
            "body_turn",
            "lever",
            "arm_mass",
            "band",
            "age",
            "feet",
            "elevation",
            "gap",
            "plane",
            "line",
        ],
        Line,
    ] = Field(description="what the load is computed from, as a source of its spread")
    share: Line
    share_value: Line
    places_title: Line
    places_columns: Annotated[tuple[Line, ...], Bounds(min_length=7, max_length=7)]
    places_part: Line
    place_height: Line
    place_not_at_home: Line
    place_turn: Line
    wrong_title: Line
    wrong: Complete[
        Literal[
            "distance_cm", "height_cm", "turn_deg", "underfoot_cm", "gap_cm", "elevation_deg", "plane_deg", "line_cm"
        ],
        tuple[Line, Line],
    ] = Field(description="what is wrong, first where it is too little, then where it is too much")
    wrong_columns: Annotated[tuple[Line, ...], Bounds(min_length=3, max_length=3)]
    wrong_effect: Complete[Literal["harder", "easier", "alike"], Line]
    wrong_trouble: Complete[Literal["slack", "over", "impossible"], Line]
    from_above: Line
    from_the_side: Line
    drawn: Line


class BandsReportMessages(Frozen):
    """The bands on the shelf."""

    title: Line
    band: Line
    resting: Line
    measured_on: Line
    not_dated: Line
    used: Line
    before: Line
    before_not_dated: Line
    to_measure: Line
    twice: Line
    law: Line
    a_means: Line
    b_means: Line
    columns: Annotated[tuple[Line, ...], Bounds(min_length=5, max_length=5)]
    curve_axes: Line
    curve: Complete[Literal["fitted", "extrapolated", "measured"], Line]
    beyond: Line
    ceiling: Line
    doubts_title: Line
    no_doubt: Line
    out_of_line: Line
    out_of_order: Line
    one_point: Line
    how_to_add: Line


CounterfactualName = Literal["clean_form", "whole_sets", "two_more", "settled", "no_gap", "all", "more_sessions"]


Agreement = Literal["missing", "agrees", "behind", "differs", "held"]
"""How progress.toml compares with records and instructions."""
Happened = Literal["same", "more", "less", "repetitions", "stopped", "stopped_less"]


class HistoryMessages(Frozen):
    """Records and decisions as text."""

    title: Line
    none: Line
    no_sets: Line
    happened: Complete[Happened, Line] = Field(description="what a session did to load and repetitions")
    head: Line
    session: Line
    decided: Line
    numbers: Line
    source: Line
    today: Line
    open: Line
    tell: Line
    rated: Line
    trouble: Line
    trouble_not_said: Line = Field(description="of a set in which the pain key was pressed, and nothing answered")
    pain: Line = Field(description="the worst pain of a session, before it and in it")
    no_pain: Line = Field(description="stands for a pain that was not asked about")
    instruction: Line
    number: dict[Name, Line] = Field(description="a number on which a decision rests, by its name in rules.toml")
    change: Annotated[dict[Name, Line], EveryName(get_args(CounterfactualName))] = Field(
        description="what would have changed the decision"
    )
    files: Line = Field(description="the entry of a list that says what is wrong with the files")
    leads: Complete[Literal["load", "repetitions", "review", "complete", "hold"], Line]
    difference: Line
    not_said: Line
    agreement: Complete[Agreement, Line]
    rebuilt: Line
    kept: Line


ChartName = Literal["load", "repetitions", "pain", "faults", "range", "strength", "adherence", "activities"]
ErrorName = Literal["pain", "range", "strength", "activities"]
LaneName = Literal["before", "during", "morning_after"]
SeriesName = Literal[
    "goal",
    "least",
    "most",
    "before",
    "during",
    "morning_after",
    "sets",
    "not_sure",
    "trained",
    "prescribed",
    "rating",
]


class HistoryChartMessages(Frozen):
    """The history as charts."""

    title: Line
    none: Line
    day: Line
    at_position: Line
    motion_at_position: Line
    since_first: Line
    real: Line
    noise: Line
    mean: Line
    hollow: Line
    filled: Line
    spread: Line
    source: Line
    error: Complete[ErrorName, Line]
    weeks: Line
    computed: Line
    answered: Line
    shared: Line
    picture: Complete[ChartName, Line]
    series: Complete[SeriesName, Line]
    lane: Complete[LaneName, Line]
    direction: Complete[Direction, Line]


Paragraphs = Annotated[tuple[Line, ...], Bounds(min_length=1)]


class ExportMessages(Frozen):
    """What an export says before it is written, and the texts inside it that no other section has."""

    fhir_holds: Paragraphs
    csv_holds: Paragraphs
    fhir_all_holds: Paragraphs
    csv_all_holds: Paragraphs
    loinc: Line
    no_name: Line
    by_hand: Line
    by_hand_all: Line
    not_exported: Line
    written: Line
    session_title: Line
    check_in_title: Line
    checks_title: Line
    set_title: Line
    other_title: Line
    plan_title: Line
    dose: Line
    range: Complete[Direction, Line]
    strength: Complete[Direction, Line]


class BackupMessages(Frozen):
    """What a backup says before it is written, and after it is restored."""

    holds: Line
    client: Line
    health: Line
    sealed: Line
    passphrase: Line
    passphrase_new: Line
    passphrase_again: Line
    passphrase_short: Line
    passphrase_differs: Line
    left_out: Line
    damaged: Line
    written: Line
    restored: Line


class WorkingMessages(Frozen):
    """What is being done while a bar shows how far it is."""

    reading: Line
    checking: Line
    backing_up: Line
    restoring: Line
    exporting: Line
    opening: Line
    taking: Line
    stopping: Line
    auditing: Line


class CaseloadMessages(Frozen):
    """The caseload: all clients of a folder, one line each."""

    title: Line
    title_of_one: Line = Field(description="the title where there is one client")
    came_in: Line
    as_of: Line
    filtered: Line
    columns: Annotated[tuple[Line, ...], Bounds(min_length=7, max_length=7)]
    legend: Complete[CaseloadColumn, Line]
    legend_several: Line
    exercises: Line
    no_session_title: Line
    load: Line
    nothing: Line
    today: Line
    days: Line
    share: Line
    more: Line
    no_match: Line
    type_to_filter: Line
    typed: Line
    sorted_by: Line
    direction: Complete[Direction, Line]
    need: dict[Name, Line]
    need_sign: Line = Field(description="the need after a warning sign, and which one it was")
    trained_closed: Line = Field(
        description="that the client trained after an operation and before it was allowed: the need in full"
    )
    trained_closed_on: Line = Field(description="the same as a sentence of a report, with the day")
    an_operation: Line = Field(description="the operation, where no condition says which, as a clause")
    need_tried: Line = Field(description="a need, and how often the client was not reached about it")
    discharged: Line = Field(description="that a client was discharged, when and why")
    discharged_trained: Line = Field(
        description="the same, of a client with sessions that the discharge knew nothing of"
    )
    discharged_left_out: Line = Field(description="how many discharged clients are not shown, and how to find them")
    left_out_trained: Line = Field(description="how many of them have trained since, as the discharge did not know")
    discharged_needs: Line = Field(description="what a client needs who was discharged and is on the list again")
    order: Complete[CaseloadOrder, Line]
    keys: Complete[Literal["open", "sort", "clear", "leave", "again", "choose"], Line]
