"""The content that holds for every language: limits, rules, form questions, checks and signs."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from coach.model.base import Frozen, Line, Name
from coach.model.exercise import Mark

Fault = Name  # form.toml names the faults: each question the one that it reveals
Level = Literal["check_in", "set", "session"]
Effect = Literal[
    "stop_and_review",
    "stop_for_today",
    "stop_and_easier",
    "stop_easier_review",
    "easier_now",
    "after_gap_now",
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

    name: Name = Field(description="how rules and prescriptions call it")
    value: float = Field(description="what counts where the therapist has not moved it")
    low: float = Field(description="the hard bound below")
    high: float = Field(description="the hard bound above")
    unit: Line = Field(description="what the number counts")
    source: Line = Field(description="where the number comes from")
    mark: Mark = Field(description="how the source was read; ours where there is none")

    @model_validator(mode="after")
    def _inside_its_bounds(self) -> Self:
        if not self.low <= self.value <= self.high:
            raise ValueError(
                f"value {self.value:g} of {self.name} is outside its own bounds {self.low:g} to {self.high:g}: "
                "write one inside"
            )
        return self


class Limits(Frozen):
    """limits.toml: every threshold, once."""

    format: Literal[1]
    limit: tuple[Limit, ...] = Field(description="each threshold once")


class Rule(Frozen):
    """One rule of the progression: when it matches, what then, and where it comes from."""

    name: Name = Field(description="its words stand under this name in rules.toml of each language")
    when: Name = Field(description="the test that the rule makes")
    levels: Annotated[tuple[Level, ...], Field(min_length=1)] = Field(description="when it is tried")
    then: Effect = Field(description="what it does to the session and the load")
    limits: tuple[Name, ...] = Field(default=(), description="the limits that the test reads")
    numbers: tuple[Name, ...] = Field(default=(), description="the numbers the sentences may name")
    too_much: bool = Field(
        default=False, description="the load itself was too much: more is asked before it is tried again"
    )
    source: Line = Field(description="where the rule comes from")
    mark: Mark = Field(description="how the source was read; ours where there is none")

    @property
    def beside(self) -> bool:
        """Whether the rule stands beside the decision: it tells the therapist, and the search goes on."""
        return self.then in ("tell", "then_review")


class Rules(Frozen):
    """rules.toml: in the order in which they are tried; the first match wins."""

    format: Literal[1]
    rule: Annotated[tuple[Rule, ...], Field(min_length=1)] = Field(
        description="in the order in which they are tried; the first match wins"
    )


class FormQuestion(Frozen):
    """A question after a set and the fault that its answer reveals."""

    name: Name = Field(description="its words stand under this name in form.toml of each language")
    fault: Fault = Field(description="the fault that it reveals")
    fault_answer: Literal["yes", "no"] = Field(description="the answer that reveals it")
    follow_up: Name | None = Field(
        default=None,
        description="asked after the fault answer; a yes means not merely once: the band is too heavy",
    )
    when_too_heavy: bool = Field(
        default=False, description="what a load beyond the strength brings first: a simulated client answers so"
    )

    @property
    def clean_answer(self) -> Literal["yes", "no"]:
        """The answer that reveals no fault."""
        return "no" if self.fault_answer == "yes" else "yes"


class Form(Frozen):
    """form.toml: every form question."""

    format: Literal[1]
    question: Annotated[tuple[FormQuestion, ...], Field(min_length=1)] = Field(
        description="every form question; a position names those it asks"
    )


class Check(Frozen):
    """A check before the first repetition. A no is mended and asked again, or stops the session."""

    name: Name = Field(description="its words stand under this name in safety.toml of each language")
    on_no: Literal["mend", "mend_once", "stop"] = Field(
        description="mend: said how, and asked again; mend_once: after a second no it goes on as it is, the load "
        "does not rise and the therapist is told; stop: the session ends"
    )
    source: Line = Field(description="where the check comes from")
    mark: Mark = Field(description="how the source was read; ours where there is none")


class Sign(Frozen):
    """A warning sign: when it is asked for, and how soon somebody must be seen."""

    name: Name = Field(description="its words stand under this name in safety.toml of each language")
    asked: Annotated[tuple[Literal["check_in", "set"], ...], Field(min_length=1)] = Field(
        description="at the check-in, by the pain key within a set, or both"
    )
    urgency: Urgency = Field(description="how soon somebody must be seen")
    source: Line = Field(description="where the sign comes from")
    mark: Mark = Field(description="how the source was read; ours where there is none")


class Region(Frozen):
    """A place on the body where the client can say that it hurts; `sign`: pain there is this warning sign."""

    name: Name = Field(description="its words stand under this name in safety.toml of each language")
    sign: Name | None = Field(default=None, description="pain there is this warning sign")
    source: Line = Field(description="where it comes from")
    mark: Mark = Field(description="how the source was read; ours where there is none")


class Safety(Frozen):
    """safety.toml: checks, warning signs, and where it can hurt."""

    format: Literal[1]
    check: tuple[Check, ...] = Field(
        description="checks before the first repetition; a position names those it makes"
    )
    sign: Annotated[tuple[Sign, ...], Field(min_length=1, max_length=9)] = Field(
        description="warning signs, the most urgent first"
    )
    region: Annotated[tuple[Region, ...], Field(min_length=1, max_length=9)] = Field(
        description="where it can hurt, in the order in which it is asked"
    )
