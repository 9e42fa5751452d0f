"""What the therapist set, and what they signed afterwards."""

from datetime import date
from typing import Annotated, Literal, Self

from pydantic import AwareDatetime, Field, model_validator

from coach.model.base import Frozen, Initials, Line, Name, PositionDeg


class Tempo(Frozen):
    """Seconds out, held at the end, back, and relaxed between repetitions."""

    out_s: Annotated[float, Field(ge=1, le=10)]
    hold_s: Annotated[float, Field(ge=0, le=10)]
    back_s: Annotated[float, Field(ge=1, le=10)]
    relax_s: Annotated[float, Field(ge=0, le=10)]


class Dose(Frozen):
    """Sets, repetition range, tempo, rest, days a week; and the count-in before each set."""

    sets: Annotated[int, Field(ge=1, le=6)]
    repetitions_min: Annotated[int, Field(ge=1, le=30)]
    repetitions_max: Annotated[int, Field(ge=1, le=30)]
    tempo: Tempo
    rest_s: Annotated[int, Field(ge=10, le=600)]
    count_in_s: Annotated[int, Field(ge=3, le=60)]
    days_a_week: Annotated[int, Field(ge=1, le=7)]

    @model_validator(mode="after")
    def _range_is_a_range(self) -> Self:
        if self.repetitions_max < self.repetitions_min:
            raise ValueError("repetitions_max is below repetitions_min: swap them")
        return self


class FixedSetup(Frozen):
    """What the therapist fixed for one position; the rest is computed."""

    position_deg: PositionDeg
    anchor_height_cm: Annotated[int, Field(ge=0, le=300)] | None = None
    body_turn_deg: Annotated[float, Field(ge=0, le=180)] | None = None


class FirstStep(Frozen):
    """The load step the therapist chose to begin with."""

    grade: Name
    strands: Literal[1, 2]
    distance_cm: Annotated[int, Field(gt=0, le=1000)]


class SignOff(Frozen):
    """One word of the therapist after the prescription: dated, signed, with a reason."""

    at: AwareDatetime
    initials: Initials
    what: Literal["end_review", "unlock_position"]
    position_deg: PositionDeg | None = None
    reason: Line

    @model_validator(mode="after")
    def _unlock_names_a_position(self) -> Self:
        if (self.what == "unlock_position") != (self.position_deg is not None):
            raise ValueError('position_deg goes with what = "unlock_position", and only with it')
        return self


class Prescription(Frozen):
    """prescription.toml: positions in the order of the goal, dose, limits, and the sign-offs so far."""

    format: Literal[1]
    exercise: Name
    goal: Line
    positions: Annotated[tuple[PositionDeg, ...], Field(min_length=1)]
    initials: Initials
    on: date
    dose: Dose
    limits: dict[Name, float] = {}
    first_step: FirstStep | None = None
    setups: tuple[FixedSetup, ...] = ()
    sign_offs: tuple[SignOff, ...] = ()

    @model_validator(mode="after")
    def _sign_offs_follow_the_goal(self) -> Self:
        if len(set(self.positions)) < len(self.positions):
            raise ValueError("positions names one position twice")
        for sign_off in self.sign_offs:
            if sign_off.position_deg is not None and sign_off.position_deg not in self.positions:
                raise ValueError(f"a sign-off unlocks {sign_off.position_deg} degrees, which is not in positions")
        return self

    def fixed(self, position_deg: int) -> FixedSetup:
        """What is fixed for a position; an empty FixedSetup where nothing is."""
        for setup in self.setups:
            if setup.position_deg == position_deg:
                return setup
        return FixedSetup(position_deg=position_deg)
