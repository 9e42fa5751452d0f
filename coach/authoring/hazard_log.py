"""The hazard log: what can harm a client, and what controls that. Terms as in ISO 14971."""

from typing import Annotated, Literal

from coach.frozen import Bounds, Field, form
from coach.model.base import Frozen, Line, Name

Severity = Literal["negligible", "minor", "serious", "critical"]
Probability = Literal["improbable", "remote", "occasional", "probable"]
Control = Annotated[
    str, form(r"^(rule|check|sign|limit|condition|need|caution|test):[A-Za-z0-9_./:]+$", max_length=200)
]


class Hazard(Frozen):
    """One hazard with its controls and the risk that is left."""

    name: Name = Field(description="how tests and reports call it")
    hazard: Line = Field(description="the potential source of harm")
    situation: Line = Field(description="the hazardous situation: how a person is exposed to it")
    harm: Line = Field(description="the injury that can follow")
    severity: Severity = Field(description="severity of the harm")
    probability: Probability = Field(description="probability of occurrence of harm without the controls")
    controls: Annotated[tuple[Control, ...], Bounds(min_length=1)] = Field(
        description="kind:name of each risk control; a caution is named by its exercise and position, or safety"
    )
    residual_probability: Probability = Field(description="probability of occurrence of harm with the controls")
    residual: Line = Field(description="the residual risk, and who accepts it")


class Hazards(Frozen):
    """hazards.toml: the hazard log. The estimates are this project's own."""

    format: Literal[1]
    hazard: Annotated[tuple[Hazard, ...], Bounds(min_length=1)] = Field(description="each hazard once")


def kind_and_name(control: str) -> tuple[str, str]:
    """The kind of a control and the name of what it refers to."""
    kind, _, name = control.partition(":")
    return kind, name
