"""visits/SIGNED.toml: one visit, or one contact between visits, in a file of its own that is never changed."""

from datetime import date
from typing import Annotated, Literal

from coach.frozen import AwareDatetime, Bounds, Field, check, form
from coach.model.base import Frozen, Initials, Line, Lines, Name, Pain, Side
from coach.model.condition import ClientCondition, IrritabilityLevel
from coach.model.content_entries import HowOften
from coach.model.option_names import ContactKind, Direction, DischargeReason, NeedOutcome
from coach.model.profile import AvailableDeg, ForceN, LeverM, refuse_wrong_lever
from coach.model.programme.written import Written


class _InPosition(Frozen):
    """Something measured in one position, on one side and in one direction."""

    position: Name = Field(description="the position it was measured in, as the exercise calls it")
    direction: Direction = Field(
        default="external", description="which way: external, outward; internal, inward; raise, lower, pull, press"
    )
    side: Side = Field(description="the shoulder")

    @property
    def place(self) -> tuple[str, Direction, Side]:
        """Position, direction and side."""
        return self.position, self.direction, self.side


class RangeToday(_InPosition):
    """How far the client moves with no band, and how far the therapist moves the arm."""

    active_deg: AvailableDeg | None = Field(
        default=None, description="moved by the client, in degrees; of a pull or press, centimetres"
    )
    passive_deg: Annotated[float, Bounds(ge=0, le=180)] | None = Field(
        default=None, description="moved by the therapist, in degrees; it is kept and shown, and sets no load"
    )

    @check
    def _has_a_value(self) -> None:
        if self.active_deg is None and self.passive_deg is None:
            raise ValueError("neither active_deg nor passive_deg is given: add one, or take the table out")


class StrengthToday(_InPosition):
    """Maximal isometric strength, as in the profile, with the pain that the test caused."""

    force_n: ForceN = Field(description="the force on the scale, newtons")
    lever_m: LeverM | None = Field(
        default=None, description="from the elbow or the shoulder to where the scale pulled; of a pull or press none"
    )
    pain: Pain | None = Field(default=None, description="the worst pain during the test, 0 to 10")

    @check
    def _lever_of_an_angle(self) -> None:
        refuse_wrong_lever(self.direction, self.lever_m)

    @property
    def load(self) -> float:
        """The strength as a load along the motion: newton metres, or newtons of a path."""
        return self.force_n if self.lever_m is None else self.force_n * self.lever_m


class FormSeen(Frozen):
    """What the therapist saw of one fault in a set done in the clinic, beside what the client last answered."""

    exercise: Name = Field(description="the exercise, by its name in the programme")
    question: Name = Field(description="the form question, as form.toml names it")
    seen: HowOften = Field(description="how often the fault happened, by the therapist's own eyes")
    client_said: HowOften | None = Field(
        default=None, description="what the client answered to that question last, at home or in the clinic"
    )

    @property
    def agrees(self) -> bool | None:
        """Whether both say the same of whether the fault happened; None where one of them does not know."""
        both = (self.seen, self.client_said)
        if None in both or "not_sure" in both:
            return None
        return (self.seen == "never") == (self.client_said == "never")


class Goal(Frozen):
    """What the client wants to reach, how it is measured, where it is today and when it is looked at."""

    what: Line = Field(description="what the client wants to do, in their words")
    measure: Line = Field(description="what is measured, with its unit: reach to a shelf, cm")
    today: float | None = Field(default=None, description="its value on the day of the visit")
    target: float | None = Field(default=None, description="the value to be reached")
    by: date = Field(description="the day by which it is to be reached, and is looked at")


class NeedAnswer(Frozen):
    """What was done about one need of the client."""

    need: Name = Field(description="the need, as caseload.toml names it")
    exercise: Name | None = Field(
        default=None, description="the exercise that it is about; without it, every exercise that has it"
    )
    how: NeedOutcome = Field(description="answered; asked again on a day; the client was not reached; discharged")
    what: Line | None = Field(default=None, description="what was done")
    on: date | None = Field(default=None, description="the day on which the need is asked about again")

    @check
    def _says_what_or_when(self) -> None:
        if self.how == "answered" and not (self.what or "").strip():
            raise ValueError(f'what is missing: how = "answered" says what was done about {self.need}')
        if self.how == "ask_again" and self.on is None:
            raise ValueError(f'on is missing: how = "ask_again" says on which day {self.need} is asked about')


EndedCondition = Annotated[str, form(r"^[a-z0-9][a-z0-9_]{0,47}( \d{4}-\d\d-\d\d)?$")]
"""A condition that is over: its kind, and its day, such as "injection 2026-11-02"."""


class Discharge(Frozen):
    """That the client is no longer looked after, and why."""

    reason: DischargeReason = Field(description="why")
    what: Line | None = Field(default=None, description="more on it, in a few words")


class VisitFile(Frozen):
    """One visit or contact as a file."""

    format: Literal[2]
    at: AwareDatetime = Field(description="when it was signed, with the offset from UTC")
    initials: Initials = Field(description="who signed")
    kind: ContactKind = Field(default="visit", description="in the clinic, or how the client was contacted")
    ranges: tuple[RangeToday, ...] = Field(default=(), description="measured ranges")
    strengths: tuple[StrengthToday, ...] = Field(default=(), description="measured strength")
    irritability: IrritabilityLevel | None = Field(
        default=None, description="how irritable the shoulder is, as judged today"
    )
    condition: tuple[ClientCondition, ...] = Field(
        default=(), description="conditions found since, each a kind of conditions.toml, with its day"
    )
    condition_over: tuple[EndedCondition, ...] = Field(
        default=(),
        description="conditions that do not hold any more, each a kind and the day it has; the program adds the day",
    )
    form: tuple[FormSeen, ...] = Field(default=(), description="form as the therapist saw it")
    goals: tuple[Goal, ...] = Field(default=(), description="every goal as it stands; those of an earlier visit end")
    note: Lines | None = Field(default=None, description="what was said and found")
    agreed: Lines | None = Field(default=None, description="what was agreed with the client")
    needs: tuple[NeedAnswer, ...] = Field(default=(), description="what was done about the needs of the caseload")
    next_visit: date | None = Field(default=None, description="the day of the next visit")
    discharge: Discharge | None = Field(default=None, description="the client leaves the caseload")
    written: Written | None = Field(default=None, description="by which computer, and what that had seen")

    @property
    def day(self) -> date:
        """The day of the visit."""
        return self.at.date()

    def ends(self, condition: ClientCondition) -> bool:
        """Whether a condition does not hold any more; of an older visit, which names no day, each of its kind."""
        return condition.kind in self.condition_over or condition.with_day in self.condition_over

    @check
    def _holds_something(self) -> None:
        if not self.model_dump(exclude=("format", "at", "initials", "kind", "written"), exclude_defaults=True):
            raise ValueError("the visit is empty: add what was measured, found or done")

    @check
    def _measured_once(self) -> None:
        for key, places in (("ranges", [one.place for one in self.ranges]),
                            ("strengths", [one.place for one in self.strengths])):  # fmt: skip
            twice = next((one for one in places if places.count(one) > 1), None)
            if twice is not None:
                raise ValueError(f"{key} has two values for {' '.join(twice)}: keep one of them")

    @check
    def _days_to_come(self) -> None:
        for one in self.needs:
            if one.on is not None and one.on <= self.day:
                raise ValueError(f"on of {one.need} is {one.on}, not after the visit: write a later day")
        if self.next_visit is not None and self.next_visit <= self.day:
            raise ValueError(f"next_visit is {self.next_visit}, not after the visit: write a later day")

    @check
    def _discharged_with_a_reason(self) -> None:
        if self.discharge is None and any(one.how == "discharged" for one in self.needs):
            raise ValueError('discharge is missing: a need is answered with "discharged", so add its table')
        if self.discharge is not None and self.next_visit is not None:
            raise ValueError("next_visit does not go with discharge: take one of them out")
