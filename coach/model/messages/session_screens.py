"""en/screens.toml: the interface's own words, a section a screen."""

from typing import Literal

from pydantic import Field

from coach.model.base import Frozen, Line, Name
from coach.model.layout_limits import KeyWord, LargeWord, OneRow, PainKeyWord, PhaseWord, Title, TitleMark
from coach.model.record import GapReason, Move, NightPain, Settled, SkipReason

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

    go_on: KeyWord
    pause: KeyWord
    resume: KeyWord
    pain: PainKeyWord
    back: KeyWord
    stop_set: KeyWord
    skip_rest: KeyWord
    skip_set: KeyWord
    other_band: KeyWord
    fewer_sets: KeyWord
    theme: KeyWord
    cue: KeyWord
    more: OneRow
    leave: KeyWord
    quit: KeyWord


class TodayWords(Frozen):
    """The first screen."""

    title: Line
    lasts: Line
    dose: Line
    tempo: Line
    needs_title: Line
    needs: tuple[Line, ...]
    cautions_title: Title
    what_follows: Line
    gaps: Line = Field(description="said where lines are missing in the client's language")


class QuestionScreenWords(Frozen):
    """A question that no form file asks, with the ends of its scale where it has one."""

    title: Title
    ask: Line
    how_to_tell: tuple[Line, ...] = ()
    low: Line | None = None
    high: Line | None = None


class SetupWords(Frozen):
    """The setup screen and the new setup after a step down."""

    title: Title
    again_title: Title
    again: Line
    check_title: Title
    reach_title: Title
    how_to_tell_title: Line
    side: dict[Literal["left", "right"], Line]


class SetWords(Frozen):
    """The set screen: the phase words are single short words, drawn large."""

    title: Line
    load: Line
    count_in: PhaseWord
    out: PhaseWord
    hold: PhaseWord
    back: PhaseWord
    relax: PhaseWord
    repetition: OneRow
    last_repetition: OneRow
    paused: LargeWord
    paused_why: Line
    before: Line


class RestWords(Frozen):
    """The rest screen."""

    title: Title
    left: Line
    next_set: Line
    next_cue: Line
    changed: Line
    same: Line


class FeedbackWords(Frozen):
    """Plain praise, and what stands in the place of a cue that is not given."""

    clean_set: Line
    clean_sets: Line
    no_cue: Line


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

    title: Title
    stopped_title: Title
    left_title: Title
    done: Line
    set_line: Line
    decided: Line
    rule: Line
    saved: Line
    next_time: Line
    what_to_do: Line


class OfferWords(Frozen):
    """Questions about the session itself, and why there is none."""

    resume_title: Title
    resume: Line
    resume_yes: Line
    resume_no: Line
    leave_title: Title
    leave: Line
    leave_yes: Line
    leave_no: Line
    review: Line
    no_load: Line
    clock: Line
    too_small: Line
    not_saved: Line
    kept: Line


class CheckInWords(Frozen):
    """Answers at the check-in by name, as a clause that fits into a sentence."""

    settled: dict[Settled, Line]
    gap: dict[GapReason, Line]
    night: dict[NightPain, Line]
    relief: dict[Literal["painkiller", "injection"], Line]


class BadDayWords(Frozen):
    """What is said after a stop and in review, where the therapist set it."""

    title: Line
    may_do: dict[Literal["movement", "rest"], Line]
    soreness: Line
    again: Line
    ring: Line


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

    mark: TitleMark
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
    feedback: FeedbackWords
    sound: SoundWords
    end: EndWords
    offer: OfferWords
    check_in: CheckInWords
    bad_day: BadDayWords
    instead: InsteadWords
    rehearsal: RehearsalWords
    plain: PlainWords
