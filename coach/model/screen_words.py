"""en/screens.toml: the interface's own words, a section a screen."""

from typing import Annotated, Literal

from pydantic import Field

from coach.model.base import Frozen, Line, Name
from coach.model.record import Move, SkipReason, Status
from coach.model.report_words import ExportWords, HandoutWords

SignalName = Literal["count", "out", "last_repetition", "hold", "back", "relax", "set_over", "rest_over"]


class ScaleWords(Frozen):
    """Answers in words, and the ends of a scale from 0 to 10."""

    yes: Line
    no: Line
    not_sure: Line
    none: Line
    move: dict[Move, Line]


class KeyWords(Frozen):
    """What the keys do, as the footer says it."""

    go_on: Line
    pause: Line
    resume: Line
    pain: Line
    back: Line
    stop_set: Line
    skip_rest: Line
    skip_set: Line
    other_band: Line
    fewer_sets: Line
    theme: Line
    more: Line
    leave: Line
    quit: Line


class TodayWords(Frozen):
    """The first screen."""

    title: Line
    lasts: Line
    dose: Line
    tempo: Line
    needs_title: Line
    needs: tuple[Line, ...]
    cautions_title: Line
    what_follows: Line


class QuestionScreenWords(Frozen):
    """A question that no form file asks, with the ends of its scale where it has one."""

    title: Line
    ask: Line
    how_to_tell: tuple[Line, ...] = ()
    low: Line | None = None
    high: Line | None = None


class SetupWords(Frozen):
    """The setup screen and the new setup after a step down."""

    title: Line
    again_title: Line
    again: Line
    check_title: Line
    reach_title: Line
    foot_lengths: Line
    how_to_tell_title: Line
    side: dict[Literal["left", "right"], Line]


class SetWords(Frozen):
    """The set screen: the phase words are single short words, drawn large."""

    title: Line
    load: Line
    count_in: Line
    out: Line
    hold: Line
    back: Line
    relax: Line
    repetition: Line
    last_repetition: Line
    paused: Line
    paused_why: Line
    before: Line


class RestWords(Frozen):
    """The rest screen."""

    title: Line
    left: Line
    next_set: Line
    next_cue: Line
    changed: Line
    same: Line


class SoundWords(Frozen):
    """What is said aloud at a signal, and what the command says that plays the tones."""

    spoken: dict[SignalName, Line]
    signal: dict[SignalName, Line]
    player: Line
    bell: Line
    remote: Line
    off: Line
    voice: Line
    no_voice: Line
    failed: Line


class EndWords(Frozen):
    """The last screen."""

    title: Line
    stopped_title: Line
    left_title: Line
    done: Line
    set_line: Line
    decided: Line
    rule: Line
    saved: Line
    next_time: Line
    what_to_do: Line


class OfferWords(Frozen):
    """Questions about the session itself, and why there is none."""

    resume_title: Line
    resume: Line
    resume_yes: Line
    resume_no: Line
    leave_title: Line
    leave: Line
    leave_yes: Line
    leave_no: Line
    review: Line
    clock: Line
    too_small: Line
    not_saved: Line
    kept: Line


class InsteadWords(Frozen):
    """What else than the plan: fewer sets, another band, a set skipped."""

    reason: dict[SkipReason, Line]
    skipped: Line
    band: Line
    all_count: Line
    least_counts: Line
    none_missing: Line


class RehearsalWords(Frozen):
    """What is said of a session of which nothing is kept."""

    mark: Line
    saved: Line
    leave: Line
    input_ended: Line


class PlainWords(Frozen):
    """What only the plain mode says: keys in words, time as it passes, and the drawings as sentences."""

    keys: Line
    key: Line
    enter: Line
    space: Line
    scale_key: Line
    scale: Line
    given: Line
    no_key: Line
    no_such_key: Line
    cue: Line
    goal: Line
    starts_in: Line
    count: Line
    out: Line
    last_out: Line
    set_over: Line
    rest_left: Line
    rest_over: Line
    input_ended: Line
    from_above: tuple[Line, ...]
    from_the_side: tuple[Line, ...]
    turn: dict[Literal["facing", "diagonal", "side_on", "diagonal_away", "away"], Line]
    anchor_side: dict[Literal["left", "right", "front", "back"], Line]
    slope: dict[Literal["down", "level", "up"], Line]


class PreviewWords(Frozen):
    """The script as text."""

    title: Line
    today: Line
    work: Line
    total: Line
    decided: Line
    not_yet: Line
    what_if: Line
    next_session: Line


class HistoryWords(Frozen):
    """Records and decisions as text."""

    title: Line
    none: Line
    no_sets: Line
    session: Line
    decided: Line
    told: Line
    open: Line
    tell: Line
    rated: Line
    change: dict[Name, Line] = Field(description="what would have changed the decision, by its name")
    leads: dict[Literal["load", "repetitions", "review", "complete", "hold"], Line]
    difference: Line
    not_said: Line
    agreement: dict[Literal["missing", "agrees", "behind", "differs"], Line]
    rebuilt: Line
    kept: Line


class DecisionTableWords(Frozen):
    """What each kind of session would lead to, for the therapist."""

    title: Line
    how: Line
    columns: Annotated[tuple[Line, ...], Field(min_length=6, max_length=6)]
    kind: dict[Name, Line]
    status: dict[Status, Line]


class ForecastWords(Frozen):
    """Where a client may be in some weeks, by simulation."""

    title: Line
    simulation: Line
    assumed: Line
    columns: Annotated[tuple[Line, ...], Field(min_length=5, max_length=5)]
    over: Line
    speed: Line


class SetupReportWords(Frozen):
    """The setup of a load step for the therapist: labels of rows, and sentences with places."""

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


class BandsReportWords(Frozen):
    """The bands on the shelf for the therapist."""

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


class ScreenWords(Frozen):
    """Every word of the interface that no other file says."""

    format: Literal[1]
    scale: ScaleWords
    keys: KeyWords
    today: TodayWords
    question: dict[Name, QuestionScreenWords]
    setup: SetupWords
    set: SetWords
    drawing: dict[Literal["anchor", "mark", "start", "end", "facing", "distance"], Line]
    rest: RestWords
    sound: SoundWords
    end: EndWords
    offer: OfferWords
    instead: InsteadWords
    rehearsal: RehearsalWords
    plain: PlainWords
    preview: PreviewWords
    history: HistoryWords
    decision_table: DecisionTableWords
    forecast: ForecastWords
    setup_report: SetupReportWords
    bands_report: BandsReportWords
    handout: HandoutWords
    export: ExportWords
