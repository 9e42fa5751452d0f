"""Messages for the entries of the content: exercises, form questions, safety and rules."""

from typing import Annotated, Literal, get_args

from coach.frozen import Bounds, EveryName, Field
from coach.model.base import Complete, Frozen, Line, Name
from coach.model.content_entries import Fault, Urgency
from coach.model.exercise import Landmark
from coach.model.measured.tempo_kept import MeasuredFault
from coach.model.messages.layout_limits import OneRow, PhaseWord
from coach.model.option_names import TellBy

Trouble = Literal["ache", "sharp", "equipment", "not_sure"]
Change = Literal[
    "load_up",
    "repetitions_up",
    "load_up_reset",
    "easier",
    "lighter",
    "lowest",
    "untried",
    "maintain",
    "stays",
    "review",
    "today",
    "spread",
    "load",
    "load_underfoot",
    "position",
    "position_named",
    "one_strand",
    "two_strands",
]
Missing = Literal[
    "repetitions",
    "two_more",
    "second_session",
    "once_more",
    "more_sessions",
    "capped",
    "until_lifted",
    "heavier_step",
    "next_strength",
    "next_uncertain",
    "next_too_large",
]
StopWhy = Literal["pain_severe", "pain_again", "pain_severe_again"]
NotClear = Literal["pain_not_clear", "pain_sharp", "answer_taken_back"]


class Cue(Frozen):
    """One short instruction, tied to the fault that it prevents."""

    fault: Fault = Field(description="the fault that it prevents")
    text: OneRow = Field(description="one thing to do, short enough to read from three metres")
    variants: tuple[OneRow, ...] = Field(
        default=(), description="the same said otherwise: shown in turn with the text, from set to set"
    )
    praise: OneRow | None = Field(
        default=None,
        description="what went right: said after the first set that was asked about the fault again and was clean; "
        "without it, that the set was clean",
    )


class PositionMessages(Frozen):
    """The messages of one arm position."""

    title: Line = Field(description="the arm position in a few words")
    purpose: Line = Field(description="what it is for: the first screen begins with it")
    why_here: Line = Field(description="why this position, now")
    warm_up: Annotated[tuple[Line, ...], Bounds(max_length=3)] = Field(
        default=(), description="what to do before the setup, without a band; without it there is no such page"
    )
    place: Annotated[tuple[Line, ...], Bounds(min_length=1, max_length=3)] = Field(
        description="first half of the setup: anchor, floor mark, body turn"
    )
    arm: Annotated[tuple[Line, ...], Bounds(min_length=1, max_length=3)] = Field(
        description="second half of the setup: band, elbow, start of the arc"
    )
    reach: Line = Field(
        description="the repetition without the band, and the line that it sets: each sentence is a step"
    )
    cautions: Annotated[tuple[Line, ...], Bounds(min_length=1)] = Field(
        description="what to take care of in this position"
    )
    first_cue: OneRow = Field(description="the cue of the first set, and of every set after a clean one")
    cues: Annotated[tuple[Cue, ...], Bounds(min_length=1)] = Field(
        description="one cue for each fault; shown after the set in which the fault was named"
    )

    def cue(self, fault: Fault, turn: int = 0) -> str:
        """The cue that prevents a fault; the first cue if the position has none for it.

        Of a cue with variants, each `turn` of 0, 1, 2 and so on says the next.
        """
        cue = self.cue_for(fault)
        return self.first_cue if cue is None else (cue.text, *cue.variants)[turn % (1 + len(cue.variants))]

    def cue_for(self, fault: Fault) -> Cue | None:
        """The cue that prevents a fault, with what belongs to it; None if the position has none for it."""
        return next((cue for cue in self.cues if cue.fault == fault), None)


class ExerciseMessages(Frozen):
    """LANGUAGE/EXERCISE.toml: the messages of one exercise; positions are keyed by their names."""

    format: Literal[1]
    title: Line = Field(description="the exercise in a few words")
    out: PhaseWord | None = Field(
        default=None,
        description="one short word for the movement against the band, drawn large and spoken; "
        "without it, the word of the set screen",
    )
    position: dict[Name, PositionMessages] = Field(
        description="the messages of each position, by its name: its degrees, where it has no other"
    )

    def at(self, name: str) -> PositionMessages:
        """The messages of the position of this name. Raises KeyError if there are none."""
        return self.position[name]


class QuestionMessages(Frozen):
    """A form question, what is shown before it is first asked, and how to tell."""

    ask: Line = Field(description="the question, how often the fault happened, asked before anything is corrected")
    about: OneRow = Field(description="what it is about in a few words: said before the set after which it is asked")
    teach: Line = Field(description="one sentence beside the two drawings: the right form, and the fault")
    try_it: Line | None = Field(
        default=None, description="how to try the fault once without the band, where that is harmless"
    )
    how_to_tell: tuple[Line, ...] = Field(
        default=(), description="how the client can tell, however they do it: what they see, hear or feel"
    )
    tell_by: dict[TellBy, Line] = Field(
        default={}, description="how they can tell by a hand, in a mirror, or from somebody who watches"
    )


class FormMessages(Frozen):
    """LANGUAGE/form.toml: form questions and faults, by name."""

    format: Literal[1]
    question: dict[Name, QuestionMessages] = Field(description="questions by name")
    fault: dict[Fault, Line] = Field(
        description="each fault as a clause that fits into a sentence, such as: the band went slack"
    )


class CheckMessages(Frozen):
    """A check, what is wrong if it fails, and what to do then."""

    ask: Line = Field(description="the question before the first repetition")
    stated: Line = Field(
        default="",
        description="the same as a sentence of a step, where it is made before it is asked; without it, the question",
    )
    about: OneRow = Field(description="what it is about in a few words, to read its answer back")
    fails: Line = Field(description="what is wrong if the answer is no")
    mend: Line = Field(description="what to do then")


class SafetyMessages(Frozen):
    """LANGUAGE/safety.toml: cautions, checks, warning signs, and what to do for each urgency."""

    format: Literal[1]
    cautions_stop: Annotated[tuple[Line, ...], Bounds(min_length=1)] = Field(
        description="when to stop: shown above all others, and said before every session"
    )
    cautions: Annotated[tuple[Line, ...], Bounds(min_length=1)] = Field(
        description="what else is shown and said before every session, in every position"
    )
    cautions_at_first: tuple[Line, ...] = Field(
        default=(),
        description="shown with them, the first of these in bold; said in the first session, and later when asked",
    )
    check: dict[Name, CheckMessages] = Field(description="checks by name")
    sign: dict[Name, Line] = Field(description="warning signs by name")
    trouble: Annotated[dict[Name, Line], EveryName(get_args(Trouble))] = Field(
        description="what else the pain key can name"
    )
    region: dict[Name, Line] = Field(description="where it can hurt, by name")
    urgency: Complete[Urgency, Line] = Field(description="whom to see and how soon")


class RuleMessages(Frozen):
    """One rule, for the client and for the therapist."""

    short: Line | None = Field(
        default=None, description="the rule in at most four words, for tables; without it, its name is shown"
    )
    client: Line = Field(description="why, for the client; may name the numbers of the rule in braces")
    therapist: Line = Field(description="why, for the therapist; may name the numbers of the rule in braces")
    client_not_sure: Line | None = Field(
        default=None, description="the same for the client if the answer was not sure; without it, `client`"
    )
    therapist_not_sure: Line | None = Field(
        default=None, description="the same for the therapist if the answer was not sure; without it, `therapist`"
    )
    client_to_come: Line | None = Field(
        default=None, description="the same for the client if the day is still to come; without it, `client`"
    )
    therapist_to_come: Line | None = Field(
        default=None, description="the same for the therapist if the day is still to come; without it, `therapist`"
    )


class RulesMessages(Frozen):
    """LANGUAGE/rules.toml: each rule, what changes, and what is missing for the next step up."""

    format: Literal[1]
    rule: dict[Name, RuleMessages] = Field(description="rules by name")
    change: Annotated[dict[Name, Line], EveryName(get_args(Change))] = Field(
        description="what changes, shown after the reason"
    )
    missing: Annotated[dict[Name, Line], EveryName(get_args(Missing))] = Field(
        description="what is missing for the next step up"
    )
    measured: Complete[MeasuredFault, Line] = Field(description="what a sensor measured")
    stop_why: Complete[StopWhy, Line] = Field(description="why the therapist looks after a stop for pain")
    not_clear: Complete[NotClear, Line] = Field(description="what the therapist asks about where nothing stopped")
    landmark: Complete[Landmark, Line] = Field(description="heights of the anchor as landmarks of the body")


class ClinicCautions(Frozen):
    """clinic/LANGUAGE/safety.toml: cautions in addition to those that every client reads."""

    format: Literal[1]
    cautions: Annotated[tuple[Line, ...], Bounds(min_length=1)]
