"""The content in one language: what is said for each entry of the content."""

from typing import Annotated, Literal

from pydantic import Field

from coach.model.base import Frozen, Line, Name
from coach.model.content import Fault

CueLine = Annotated[Line, Field(max_length=60)]  # fits the set screen at 80 columns


class Cue(Frozen):
    """One short instruction, tied to the fault that it prevents."""

    fault: Fault
    text: CueLine


class PositionWords(Frozen):
    """Everything said about one arm position."""

    title: Line
    purpose: Line
    why_here: Line
    place: Annotated[tuple[Line, ...], Field(min_length=1, max_length=3)] = Field(
        description="setup, first half: anchor, floor mark, body turn"
    )
    arm: Annotated[tuple[Line, ...], Field(min_length=1, max_length=3)] = Field(
        description="setup, second half: band, elbow, start of the arc"
    )
    reach: Line = Field(description="the one repetition without the band, and the line it sets")
    cautions: Annotated[tuple[Line, ...], Field(min_length=1)]
    first_cue: CueLine
    cues: Annotated[tuple[Cue, ...], Field(min_length=1)]

    def cue(self, fault: Fault) -> str:
        """The cue that prevents a fault; the first cue where the position has none for it."""
        for cue in self.cues:
            if cue.fault == fault:
                return cue.text
        return self.first_cue


class ExerciseWords(Frozen):
    """en/EXERCISE.toml: the exercise in words; positions are keyed by their degrees."""

    format: Literal[1]
    title: Line
    position: dict[Annotated[str, Field(pattern=r"^\d{1,2}$")], PositionWords]

    def at(self, position_deg: int) -> PositionWords:
        """The words of one position."""
        return self.position[str(position_deg)]


class QuestionWords(Frozen):
    """A form question and how to tell."""

    ask: Line
    how_to_tell: tuple[Line, ...] = ()


class FormWords(Frozen):
    """en/form.toml: questions and follow-ups by name, faults in words."""

    format: Literal[1]
    question: dict[Name, QuestionWords]
    fault: dict[Fault, Line]


class CheckWords(Frozen):
    """A check, what is wrong where it fails, and how to mend it."""

    ask: Line
    fails: Line
    mend: Line


class SafetyWords(Frozen):
    """en/safety.toml: cautions, checks, signs, and what to do for each urgency."""

    format: Literal[1]
    cautions: Annotated[tuple[Line, ...], Field(min_length=1)]
    check: dict[Name, CheckWords]
    sign: dict[Name, Line]
    trouble: dict[Name, Line] = Field(description="what else the pain key can name: ache, sharp, equipment, not_sure")
    region: dict[Name, Line]
    urgency: dict[Literal["emergency", "same_day", "therapist"], Line]


class RuleWords(Frozen):
    """One rule as the client and as the therapist read it."""

    client: Line
    therapist: Line


class RulesWords(Frozen):
    """en/rules.toml: each rule in words, what changes, and what is missing for the next step."""

    format: Literal[1]
    rule: dict[Name, RuleWords]
    change: dict[Name, Line]
    missing: dict[Name, Line]
    landmark: dict[Name, Line]
