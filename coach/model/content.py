"""The content that holds for every language: limits, rules, form questions, checks and signs."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from coach.model.base import Frozen, Line, Name
from coach.model.exercise import Mark

Fault = Literal["blade_pulled_back", "elbow_drifted", "end_range_lost", "band_slack", "trunk_turned"]
Level = Literal["check_in", "set", "session"]
Effect = Literal[
    "stop_and_review",
    "stop_for_today",
    "stop_and_easier",
    "easier_now",
    "lighter_now",
    "easier_next",
    "hold",
    "repetitions_up",
    "load_up",
    "suggest_position",
    "complete",
    "tell",
    "then_review",
]
Urgency = Literal["emergency", "same_day", "therapist"]


class Limit(Frozen):
    """One number the program judges by, with the hard bounds inside which the therapist may move it."""

    name: Name
    value: float
    low: float
    high: float
    unit: Line
    source: Line
    mark: Mark

    @model_validator(mode="after")
    def _inside_its_bounds(self) -> Self:
        if not self.low <= self.value <= self.high:
            raise ValueError(f"{self.name} = {self.value} is outside its own bounds {self.low} to {self.high}")
        return self


class Limits(Frozen):
    """limits.toml: every threshold, once."""

    format: Literal[1]
    limit: tuple[Limit, ...]


class Rule(Frozen):
    """One rule of the progression: when it matches, what then, and where it comes from."""

    name: Name
    when: Name = Field(description="the test that the rule makes")
    levels: Annotated[tuple[Level, ...], Field(min_length=1)]
    then: Effect
    limits: tuple[Name, ...] = Field(default=(), description="the limits that the test reads")
    numbers: tuple[Name, ...] = Field(default=(), description="the numbers the sentences may name")
    too_much: bool = Field(
        default=False, description="the load itself was too much: more is asked before it is tried again"
    )
    source: Line
    mark: Mark

    @property
    def beside(self) -> bool:
        """Whether the rule stands beside the decision: it tells the therapist, and the search goes on."""
        return self.then in ("tell", "then_review")


class Rules(Frozen):
    """rules.toml: in the order in which they are tried; the first match wins."""

    format: Literal[1]
    rule: Annotated[tuple[Rule, ...], Field(min_length=1)]


class FormQuestion(Frozen):
    """A question after a set and the fault that its answer reveals."""

    name: Name
    fault: Fault
    fault_answer: Literal["yes", "no"]
    follow_up: Name | None = Field(
        default=None,
        description="asked after the fault answer; a yes means not merely once: the band is too heavy",
    )


class Form(Frozen):
    """form.toml: every form question."""

    format: Literal[1]
    question: Annotated[tuple[FormQuestion, ...], Field(min_length=1)]


class Check(Frozen):
    """A check before the first repetition. A no is mended and asked again, or stops the session."""

    name: Name
    on_no: Literal["mend", "stop"]
    source: Line
    mark: Mark


class Sign(Frozen):
    """A warning sign: when it is asked for, and how soon somebody must be seen."""

    name: Name
    asked: Annotated[tuple[Literal["check_in", "set"], ...], Field(min_length=1)]
    urgency: Urgency
    source: Line
    mark: Mark


class Region(Frozen):
    """A place on the body where the client can say that it hurts; `sign`: pain there is this warning sign."""

    name: Name
    sign: Name | None = None
    source: Line
    mark: Mark


class Safety(Frozen):
    """safety.toml: checks, warning signs, and where it can hurt."""

    format: Literal[1]
    check: tuple[Check, ...]
    sign: Annotated[tuple[Sign, ...], Field(min_length=1, max_length=9)]
    region: Annotated[tuple[Region, ...], Field(min_length=1, max_length=9)]
