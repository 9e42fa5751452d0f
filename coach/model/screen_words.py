"""en/screens.toml: the interface's own words, a section a screen."""

from typing import Literal

from coach.model.base import Frozen, Line, Name
from coach.model.record import Move


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


class RestWords(Frozen):
    """The rest screen."""

    title: Line
    left: Line
    next_set: Line
    next_cue: Line
    changed: Line
    same: Line


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
    """Questions about the session itself: go on where it was, end it here."""

    resume_title: Line
    resume: Line
    resume_yes: Line
    resume_no: Line
    leave_title: Line
    leave: Line
    leave_yes: Line
    leave_no: Line
    review: Line
    complete: Line
    too_small: Line


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
    agreement: dict[Literal["missing", "agrees", "behind", "differs"], Line]
    rebuilt: Line
    kept: Line


class ScreenWords(Frozen):
    """Every word of the interface that no other file says."""

    format: Literal[1]
    scale: ScaleWords
    keys: KeyWords
    today: TodayWords
    question: dict[Name, QuestionScreenWords]
    setup: SetupWords
    set: SetWords
    rest: RestWords
    end: EndWords
    offer: OfferWords
    preview: PreviewWords
    history: HistoryWords
