"""Conditions: what is known of this shoulder or this person that closes, caps or asks something."""

from datetime import date
from typing import Annotated, Literal

from coach.frozen import Bounds, Field
from coach.model.base import Complete, Frozen, Line, Name
from coach.model.exercise import Mark, Position
from coach.model.option_names import Direction

Closing = Literal["permission", "to_come", "position", "motion", "bands"]
IrritabilityLevel = Literal["high", "moderate", "low"]
Apprehension = Literal["absent", "present"]
Finding = Literal["range", "strength", "gave_way", "apprehension", "order", "irritability"]


class Condition(Frozen):
    """One kind of condition and what it closes, caps and asks."""

    name: Name = Field(description="its messages stand under this name in conditions.toml of each language")
    needs_permission: bool = Field(
        default=False, description="no session before the therapist has signed allow_strengthening after its day"
    )
    floor_weeks: Annotated[int, Bounds(ge=1, le=52)] | None = Field(
        default=None, description="weeks before which the surgeon's protocol is asked for; never a permission"
    )
    closed_above_deg: Annotated[int, Bounds(ge=0, lt=90)] | None = Field(
        default=None,
        description="positions with the arm higher than this need a clearing with a finding on apprehension",
    )
    motions_closed: tuple[Direction, ...] = Field(
        default=(), description="motions that are closed, by their direction"
    )
    range_max_deg: Annotated[float, Bounds(ge=5, le=120)] | None = Field(
        default=None, description="no further than this, in every position"
    )
    latex_free_only: bool = Field(default=False, description="only bands known to be free of natural rubber latex")
    no_rise_days: Annotated[int, Bounds(ge=1, le=365)] | None = Field(
        default=None, description="days after its day in which nothing rises"
    )
    night_pain_stays_a_sign: bool = Field(default=False, description="pain at night is never signed as known")
    no_fault_is_tried: bool = Field(default=False, description="faults are only drawn, never tried")
    source: Line = Field(description="where it comes from")
    mark: Mark = Field(description="how the source was read; ours where there is none")

    def closes(self, position: Position) -> bool:
        """Whether a position needs a clearing with a finding on apprehension."""
        return self.closed_above_deg is not None and position.abduction_deg > self.closed_above_deg


class Conditions(Frozen):
    """conditions.toml: every kind of condition."""

    format: Literal[1]
    condition: tuple[Condition, ...] = Field(description="each kind once")


class ClientCondition(Frozen):
    """A condition of one client."""

    kind: Name = Field(description="the name of a kind in conditions.toml of the content")
    on: date = Field(description="the day of the operation, the injection or the diagnosis")
    by: Line = Field(description="who says so")
    noted_on: date | None = Field(
        default=None, description="the day it was noted, where that is later; one found at a visit has the visit's"
    )

    @property
    def with_day(self) -> str:
        """Its kind and its day, as a visit ends it."""
        return f"{self.kind} {self.on.isoformat()}"

    @property
    def known(self) -> "KnownCondition":
        """What tells it from another of its kind."""
        return KnownCondition(kind=self.kind, on=self.on)


class KnownCondition(Frozen):
    """A condition that whoever signed an instruction knew of."""

    kind: Name = Field(description="the name of a kind in conditions.toml of the content")
    on: date = Field(description="the day of the operation, the injection or the diagnosis")


class Irritability(Frozen):
    """How irritable the shoulder is, as the therapist judged it.

    The three levels are those of STAR-Shoulder: McClure PW, Michener LA, Phys Ther 2015;95:791 (memory).
    """

    level: IrritabilityLevel = Field(description="high, moderate or low")
    on: date = Field(description="the day of the judgement; it is asked again after some weeks")
    by: Line = Field(description="who judged")


class ConditionMessages(Frozen):
    """One kind of condition as the client and the therapist read it."""

    name: Line = Field(description="the condition as a clause that fits into a sentence")
    client: Line | None = Field(default=None, description="what the client takes care of, said before each session")
    therapist: Line = Field(description="what the program does because of it")


class ConditionsMessages(Frozen):
    """LANGUAGE/conditions.toml: every kind of condition, and irritability."""

    format: Literal[1]
    condition: dict[Name, ConditionMessages] = Field(description="kinds of conditions by name")
    closed: Complete[Closing, Line] = Field(description="why there is no session now, for the client")
    irritability: Complete[IrritabilityLevel, Line] = Field(
        description="each level as a clause that fits into a sentence"
    )
    dated: Line = Field(description="a condition for the therapist, with its day and who says so")
    judged: Line = Field(description="the level of irritability for the therapist, with its day and who judged")
    judged_long_ago: Line = Field(description="that the judgement of irritability is old")
    held: Line = Field(description="what high irritability means")
    finding: Complete[Finding, Line] = Field(description="what is missing before a position can be cleared")
