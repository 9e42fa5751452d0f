"""Where the client stands now, derived from the records and the instructions."""

from collections.abc import Mapping
from datetime import date
from typing import Annotated, Any, Literal

from coach.frozen import AwareDatetime, Bounds, Field
from coach.model.base import POSITION_CAP_KEY, Frozen, Lines, Name, Pain, PositionName, PositionNameOnly, Repetitions
from coach.model.condition import KnownCondition
from coach.model.content_entries import Fault
from coach.model.load_step import ChosenStep, LoadStep
from coach.model.option_names import InstructionKind
from coach.model.record import Decision, OwnTempo, Status

_RETIRED = frozenset({"pain_before_last"})


class PainOn(Frozen):
    """The pain of one check-in."""

    on: date
    pain: Pain
    settled: bool = Field(default=True, description="counts towards the usual level: settled, and no painkiller")


class Rating(Frozen):
    """How well the client did their own activities, 0 to 10: the mean of all of them."""

    on: date
    mean: float


class RangeCap(Frozen):
    """The largest rotation in a position that the therapist allows."""

    position: PositionName
    available_deg: float


class Cleared(Frozen):
    """A position that the therapist cleared, and whether the finding on apprehension was given or waived."""

    position: PositionName
    tested: bool
    conditions: tuple[KnownCondition, ...] | None = Field(
        default=None, description="the conditions known then; none where it was signed before these were written"
    )


class PendingInstruction(Frozen):
    """An instruction that lets the client do more, signed without knowing of a stop or a limit."""

    at: AwareDatetime
    what: InstructionKind


class Progress(Frozen):
    """progress.toml. `load` is None until the first session in a position; the load ladder then gives it."""

    format: Literal[1] = 1
    name: Name | None = Field(default=None, description="the exercise of the programme, by its name there")
    exercise: Name
    position: PositionName
    load: LoadStep | None = None
    repetitions: Repetitions
    status: Status = "active"
    ready_sessions: Annotated[int, Bounds(ge=0)] = 0
    under_sessions: Annotated[int, Bounds(ge=0)] = 0
    clean_sets: Annotated[int, Bounds(ge=0)] = Field(
        default=0, description="sets in a row, over sessions, with no fault and nothing unsure: fewer cues follow"
    )
    newest_fault: Fault | None = Field(default=None, description="the fault named last in this position")
    taught: dict[Name, tuple[Fault, ...]] = Field(
        default={}, description="for each exercise, the faults that the client was shown"
    )
    form_asked: dict[Name, Annotated[int, Bounds(ge=0)]] = Field(
        default={}, description="for each form question of this position, sessions since it was answered; 0: the last"
    )
    pace_sets: Annotated[int, Bounds(ge=0)] = Field(
        default=0, description="clean sets in a row at this load and setup: the tempo is led less and less"
    )
    trial: OwnTempo | None = Field(default=None, description="the client's own tempo as it was timed last")
    trial_ago: Annotated[int, Bounds(ge=0)] = Field(default=0, description="sessions since it was timed")
    sessions: Annotated[int, Bounds(ge=0)] = 0
    first_session: AwareDatetime | None = None
    last_session: AwareDatetime | None = None
    trained_at: AwareDatetime | None = Field(
        default=None, description="the last session with a set of any exercise, where the programme has several"
    )
    pains: tuple[PainOn, ...] = Field(default=(), description="the check-ins of the last fourteen days")
    usual_pain: Pain | None = Field(default=None, description="the usual level of pain at check-ins")
    usual_since: date | None = Field(default=None, description="when it was last found, in a settled fortnight")
    worst_pain: Pain | None = Field(default=None, description="the worst pain of the last session with a set")
    high_check_ins: Annotated[int, Bounds(ge=0)] = Field(
        default=0, description="check-ins in a row with pain above the usual level"
    )
    pain_stops: tuple[date, ...] = Field(default=(), description="the stops for pain that still count")
    injection_on: date | None = Field(default=None, description="when an injection was last reported")
    ratings: tuple[Rating, ...] = Field(default=(), description="the activities, each time they were rated")
    eased: bool = Field(default=False, description="the load was made easier, and no set was done with it since")
    fell_from_nm: float | None = Field(default=None, description="the lowest load that was too much")
    falls: Annotated[int, Bounds(ge=0)] = Field(default=0, description="how often it, or more, was too much")
    looked_at: AwareDatetime | None = Field(default=None, description="when the therapist last let it go on")
    tell: dict[Name, Lines] = Field(default={}, description="messages for the therapist since the last instruction")
    asked: ChosenStep | None = Field(default=None, description="the load step that the therapist asked for")
    frozen: bool = False
    frozen_until: date | None = None
    range_caps: tuple[RangeCap, ...] = ()
    position_cap: Annotated[PositionNameOnly | None, POSITION_CAP_KEY] = None
    repaired_on: date | None = None
    strengthening_allowed: bool = False
    strengthening_allowed_on: date | None = Field(default=None, description="when that was signed")
    strengthening_allowed_with: tuple[KnownCondition, ...] | None = Field(
        default=None, description="the conditions known then; none where it was signed before these were written"
    )
    prescribed_on: date | None = Field(default=None, description="when the programme was signed")
    night_pain_known_on: date | None = Field(default=None, description="when pain at night was signed as known")
    measured_on: dict[Name, date] = Field(default={}, description="when each band was measured, as the profile says")
    band_use: dict[Name, float] = Field(
        default={},
        description="by how many repetitions to twice its resting length each band has aged since it was measured",
    )
    pending: tuple[PendingInstruction, ...] = Field(
        default=(), description="what does not count until it is signed again by somebody who knows of the stop"
    )
    cleared: tuple[Cleared, ...] = Field(default=(), description="the positions cleared, the newest last")
    decision: Decision | None = None

    @classmethod
    def as_read(cls, given: Any) -> Any:
        """Without the keys that an older program wrote and no rule reads any more."""
        return {key: given[key] for key in given if key not in _RETIRED} if isinstance(given, Mapping) else given

    @property
    def may_strengthen(self) -> bool:
        """Whether strengthening was allowed, and not before the day of the repair that is noted."""
        allowed_on, repaired_on = self.strengthening_allowed_on, self.repaired_on
        too_early = allowed_on is not None and repaired_on is not None and allowed_on < repaired_on
        return self.strengthening_allowed and not too_early

    def rests_on(self, day: date) -> bool:
        """Whether pain stopped a session on this day, and the therapist has not looked at the client on it."""
        return day in self.pain_stops and (self.looked_at is None or self.looked_at.date() < day)

    def is_frozen_on(self, day: date) -> bool:
        """Whether the therapist has frozen the load, and the freeze is not over on this day."""
        return self.frozen and (self.frozen_until is None or day <= self.frozen_until)

    @property
    def exercise_position(self) -> tuple[Name, Name]:
        """The exercise and the position that the load and its streaks belong to."""
        return self.exercise, self.position
