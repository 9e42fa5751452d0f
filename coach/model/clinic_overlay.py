"""What a clinic may write in its own content folder. Who stops, when, and what finds it out is not among it."""

from typing import Annotated, Literal

from pydantic import Field

from coach.model.base import Frozen, Line, Name


class ClinicLimits(Frozen):
    """clinic/limits.toml: limits that the clinic moves for all its clients, inside their hard bounds."""

    format: Literal[1]
    limits: dict[Name, float]


class ClinicCautions(Frozen):
    """clinic/LANGUAGE/safety.toml: cautions that come on top of those that everybody reads."""

    format: Literal[1]
    cautions: Annotated[tuple[Line, ...], Field(min_length=1)]
