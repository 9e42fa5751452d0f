"""LANGUAGE/client.toml: what the client reads that no entry of the content says, a section for each screen."""

from typing import Annotated, Literal, get_args

from coach.frozen import EveryName, Field, form
from coach.model.base import Complete, Frozen, Line, Name
from coach.model.messages.at_home import FrontDoorMessages, TakeHomeMessages
from coach.model.messages.exchange import ExchangeMessages
from coach.model.messages.handout import HandoutMessages
from coach.model.messages.layout_limits import (
    KeyWord,
    LargeWord,
    NowRow,
    OneRow,
    PainKeyWord,
    PhaseWord,
    Title,
    TitleMark,
)
from coach.model.messages.learning import (
    EndMessages,
    LessonMessages,
    OwnTempoMessages,
    PracticeMessages,
    ProgressMessages,
    TrainingPlanMessages,
)
from coach.model.messages.measured import ClientMeasuredMessages
from coach.model.messages.setup import NowName, SetupMessages
from coach.model.messages.several_exercises import SeveralExercisesMessages
from coach.model.messages.voice import VoiceMessages
from coach.model.option_names import TellBy
from coach.model.record import GapReason, Move, NightPain, Settled, SkipReason

# Whose cautions they are: of every exercise, of this one, of the client's conditions; and what is known later.
CautionGroup = Literal["band", "exercise", "own", "at_first"]
SpokenSignal = Literal["out", "last_repetition", "hold", "back", "relax", "set_over", "rest_over"]
SignalName = Literal[SpokenSignal, "count"]  # a count is spoken as its number
# The questions of a session that are not in form.toml; no form question may have one of these names.
ScreenQuestion = Literal[
    "pain_now",
    "morning_after",  # no longer asked; answers of older records are exported with it
    "settled",
    "gap",
    "night",
    "relief",
    "sign",
    "activity",
    "trouble",
    "trouble_where",
    "trouble_pain",
    "pain",
    "effort",
    "two_more",
    "skip",
    "other_band",
    "sets_today",
    "tell_by",
]


# One letter that is no other key of a question: b, h, m, p, q and v are, and n and u are the other answers.
YesKey = Annotated[str, form("^[ac-gi-lor-tw-z]$")]


class ScaleMessages(Frozen):
    """Answers and moves."""

    yes: Line
    yes_key: YesKey = Field(default="y", description="the key for yes; y works in every language")
    no: Line
    not_sure: Line
    never: Line
    once: Line
    more_than_once: Line
    at_least_once: Line
    ten: NowRow = Field(description="below a scale of numbers: how they are typed")
    none: Line
    turn: Line = Field(description="which question of how many it is, beside the title")
    move: Complete[Move, Line]


class KeyMessages(Frozen):
    """What the keys do, as the footer shows it."""

    go_on: KeyWord
    start: KeyWord = Field(description="in place of go_on where a set follows")
    pause: KeyWord
    resume: KeyWord
    pain: PainKeyWord
    back: KeyWord
    stop_set: KeyWord
    next_exercise: KeyWord
    finish: KeyWord
    skip_rest: KeyWord
    skip_set: KeyWord
    practise: KeyWord
    other_band: KeyWord
    fewer_sets: KeyWord
    theme: KeyWord
    cue: KeyWord
    more: OneRow = Field(description="where a page goes on below the window")
    more_to_tell: OneRow = Field(description="the same where how to tell a fault is below the window")
    more_steps: OneRow = Field(description="the same where steps are, of which {steps} is the last")
    more_above: OneRow
    more_both: OneRow
    arrows: KeyWord = Field(description="the arrow keys, on the page of all keys")
    scroll: Line = Field(description="what they do with a page that is longer than the window")
    leave: KeyWord
    voice: KeyWord
    hear: KeyWord
    tell_by: KeyWord
    quit: KeyWord
    plan: KeyWord
    keep_plan: KeyWord
    why: KeyWord
    confirm: KeyWord
    help: KeyWord
    help_title: Title
    help_close: Line
    scale: Line
    unknown: Line
    too_soon: Line
    one_or_ten: Line
    number: Line


class TodayMessages(Frozen):
    """The first screen."""

    title: Line
    lasts: Line
    lasts_spoken: Line = Field(description="where the pages are also said")
    ready: Line = Field(description="the first sentence of a session: what to get ready")
    ready_underfoot: Line
    dose: Line
    dose_one_set: Line = Field(description="the same where one set is done, which has no rest between")
    tempo: Line
    minutes: Line = Field(description="below their number, which is drawn large")
    minutes_spoken: Line = Field(description="the same where the pages are also said")
    band: Line = Field(description="below the name of the band")
    mark: Line = Field(description="below the distance of the mark")
    underfoot: Line = Field(description="below the length of band underfoot")
    needs_title: Line
    needs: tuple[Line, ...]
    needs_underfoot: tuple[Line, ...]
    cautions_title: Title
    cautions_head: Complete[CautionGroup, OneRow] = Field(description="above the cautions of each kind")
    what_follows: Line
    second_today: Line
    stopped_today: Line = Field(description="on the first page of a session after one that pain has stopped that day")
    gaps: Line = Field(description="shown if messages are missing in the client's language")


class QuestionScreenMessages(Frozen):
    """A question that is not in form.toml, with the ends of its scale if it has one."""

    title: Title
    title_underfoot: Title | None = Field(default=None, description="the same for a client who stands on the band")
    ask: Line
    ask_both: Line | None = Field(default=None, description="the same for a client who trains both shoulders")
    about: Line = Field(description="what it is about in a few words, to read its answer back")
    low: Line | None = None
    high: Line | None = None


class SetMessages(Frozen):
    """The set screen; a phase is one short word, drawn large."""

    title: Line
    load: Line
    count_in: PhaseWord
    out: PhaseWord
    hold: PhaseWord
    back: PhaseWord
    relax: PhaseWord
    own_pace: PhaseWord
    unled: OneRow
    repetition_done: OneRow = Field(description="below its number and how many there are, drawn large")
    repetition: OneRow
    last_repetition: OneRow
    over: OneRow = Field(description="drawn large after a set, above its first question: a key answers it")
    paused: LargeWord
    paused_why: Line
    paused_why_underfoot: Line = Field(description="the same where the client stands on the band")
    before: Line
    stops: Line = Field(description="said before the first set: what to do if it hurts, and the key that stops it")
    stops_underfoot: Line = Field(description="the same where the client stands on the band")


class RestMessages(Frozen):
    """The rest screen."""

    title: Title
    word: PhaseWord = Field(description="in large letters, before the seconds left")
    done: Line
    take_place_left: Line = Field(description="said when the client goes to the place of the exercise")
    left: Line
    next_set: Line
    next_cue: Line
    same: Line


class FeedbackMessages(Frozen):
    """Praise, and what replaces a cue that is not shown."""

    clean_set: Line
    clean_sets: Line
    no_cue: Line


class SoundMessages(Frozen):
    """What the voice says at each signal, and the messages of the sound check."""

    spoken: Annotated[dict[SignalName, Line], EveryName(get_args(SpokenSignal))]
    set_over_underfoot: Line = Field(description="at the end of a set, where the client stands on the band")
    signal: Complete[SignalName, Line]
    player: Line
    bell: Line
    remote: Line
    off: Line
    voice: Line
    no_voice: Line
    failed: Line


class ConfirmMessages(Frozen):
    """The page that asks whether an answer that ends the session is meant."""

    title: Title
    put_down: Line = Field(description="first on the page after pain in a set: what to do at once")
    take_up_none: Line = Field(description="the same where no band is in the hand: at the check-in, in practice")
    unsafe: Line = Field(description="the same where the band or what holds it is not safe")
    chosen: Line
    closes: Line
    ends: Line
    yes: Line
    no: Line


class PainMessages(Frozen):
    """What is shown after pain that does not end the session."""

    within: Line


class OfferMessages(Frozen):
    """Questions about the session itself, and why there is no session."""

    confirm_date: Line
    resume_title: Title
    resume: Line
    set_lost: Line
    kept_set: Line
    resume_yes: Line
    resume_no: Line
    resume_end: Line = Field(description="in its place where nothing may follow on that day")
    closed: Line = Field(description="on the first page: that the session before was interrupted, and what counts")
    closed_pain: Line = Field(description="on the first page: that a pain was reported in it, and left open")
    leave_title: Title
    leave: Line
    leave_yes: Line
    leave_no: Line
    leave_chosen: Line
    leave_pain: Line
    resume_chosen: Line
    resume_pain: Line
    chosen_pain: Line
    review: Line
    by_therapist: Line = Field(description="the reason of a review that the therapist began")
    clock: Line
    too_small: Line
    not_saved: Line
    two_versions: Line
    damaged: Line
    unsaved: Line
    unsaved_stop: Line
    not_kept: Line
    asked_again: Line
    left_open: Line
    left_open_again: Line
    kept: Line


class CheckInMessages(Frozen):
    """Answers at the check-in by name, as a clause that fits into a sentence."""

    settled: Complete[Settled, Line]
    gap: Complete[GapReason, Line]
    night: Complete[NightPain, Line]
    relief: Complete[Literal["painkiller", "injection"], Line]
    tell_by: Complete[TellBy, Line]


class BadDayMessages(Frozen):
    """What is said after a stop and in review, where the therapist set it."""

    title: Line
    may_do: Complete[Literal["movement", "rest"], Line]
    soreness: Line
    again: Line
    ring: Line


class InsteadMessages(Frozen):
    """Changes of the plan by the client: fewer sets, another band, a skipped set."""

    reason: Complete[SkipReason, Line]
    skipped: Line
    band: Line
    all_count: Line
    least_counts: Line
    none_missing: Line


class RehearsalMessages(Frozen):
    """Messages of a rehearsal, of which nothing is saved."""

    mark: TitleMark
    saved: Line
    leave: Line
    input_ended: Line


class PlainModeMessages(Frozen):
    """Messages of the plain mode: keys, passing time, and the drawings as sentences."""

    keys: Line
    key: Line
    enter: Line
    space: Line
    scale_key: Line
    scale: Line
    given: Line
    next_group: Line
    any_group: Line = Field(description="among the keys: that each warning sign answers in every group")
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
    from_above_underfoot: tuple[Line, ...]
    from_the_side: tuple[Line, ...]
    from_the_side_underfoot: tuple[Line, ...]
    between: Complete[Literal["rotation", "arm", "path"], Line]
    turn: Complete[Literal["facing", "diagonal", "side_on", "diagonal_away", "away"], Line]
    anchor_side: Complete[Literal["left", "right", "front", "back"], Line]
    slope: Complete[Literal["down", "level", "up"], Line]


class ClientMessages(Frozen):
    """What the client reads that no entry of the content says."""

    format: Literal[1]
    scale: ScaleMessages
    keys: KeyMessages
    now: Complete[NowName, NowRow] = Field(description="what a page asks for now; {key} is drawn as a key")
    today: TodayMessages
    question: Annotated[dict[Name, QuestionScreenMessages], EveryName(get_args(ScreenQuestion))]
    setup: SetupMessages
    set: SetMessages
    drawing: Complete[
        Literal[
            "anchor", "underfoot", "mark", "start", "end", "facing", "distance", "height", "place", "in_front", "line"
        ],
        Line,
    ]
    rest: RestMessages
    feedback: FeedbackMessages
    lesson: LessonMessages
    own_tempo: OwnTempoMessages
    practice: PracticeMessages
    sound: SoundMessages
    voice: VoiceMessages
    confirm: ConfirmMessages
    pain: PainMessages
    programme: SeveralExercisesMessages
    plan: TrainingPlanMessages
    progress: ProgressMessages
    end: EndMessages
    offer: OfferMessages
    exchange: ExchangeMessages
    check_in: CheckInMessages
    bad_day: BadDayMessages
    instead: InsteadMessages
    rehearsal: RehearsalMessages
    plain: PlainModeMessages
    front_door: FrontDoorMessages
    take_home: TakeHomeMessages
    handout: HandoutMessages
    measured: ClientMeasuredMessages
