"""The summary of one client of a caseload, and what a client can need the therapist for."""

import json
from datetime import date
from typing import Annotated, Literal

from coach.control_characters import is_control
from coach.frozen import Bounds, Field
from coach.model.base import Frozen, Line, Name, Side
from coach.model.condition import ClientCondition, Irritability
from coach.model.exercise import Mark
from coach.model.measured.measured_course import MeasuredCourse
from coach.model.option_names import AnsweringPage, DischargeReason, NeedOutcome
from coach.model.profile import Weekday
from coach.model.programme.due_days import DueDays
from coach.model.record import Status


class Need(Frozen):
    """Something that a client can need the therapist for."""

    name: Name = Field(description="its message has this name in therapist.toml of each language")
    when: Name = Field(description="the test for it")
    rules: tuple[Name, ...] = Field(default=(), description="rules of the progression that the test looks for")
    limit: Name | None = Field(default=None, description="the limit that the test reads")
    asked_again: Literal["after_a_session", "after_another", "after_the_limit"] = Field(
        default="after_a_session",
        description="when an answered need counts again: after a session that the answer did not know of, after one "
        "that itself was not allowed, or after the days or weeks of its limit",
    )
    holds_client: bool = Field(
        default=False,
        description="the client cannot go on while it stands: an answer has to say when it is looked at again",
    )
    after_discharge: bool = Field(
        default=False,
        description="it puts a client who was discharged back on the list, where a session was done that the "
        "discharge did not know of",
    )
    opens: AnsweringPage = Field(
        default="visit", description="the page of the client on which it can be answered, which is offered first"
    )
    source: Line = Field(description="where it comes from that this needs the therapist")
    mark: Mark = Field(description="how the source was read; ours where there is none")


class Needs(Frozen):
    """caseload.toml: the needs, the most urgent first."""

    format: Literal[1]
    need: Annotated[tuple[Need, ...], Bounds(min_length=1)] = Field(description="the most urgent first")


class ClientWeek(Frozen):
    """Seven days of one client: the newest load and the highest pain at a check-in; None where there was none."""

    load: float | None = None
    pain: int | None = None


class AnsweredNeed(Frozen):
    """What was done about a need at a visit; `known` where no session of the exercise was done since."""

    need: Name
    exercise: Name | None = None
    how: NeedOutcome
    on: date
    until: date | None = Field(default=None, description="the day on which it is asked about again")
    known: bool = True
    told_since: tuple[Name, ...] | None = Field(
        default=None, description="the rules that decided or told the therapist in sessions that it did not know of"
    )
    closed_missed: int = Field(
        default=0, description="sessions that were not allowed and that the answer did not know of"
    )


class ClosedSession(Frozen):
    """A session that was done after an operation and before strengthening was allowed."""

    trained: date = Field(description="the day of the session")
    on: date = Field(description="the day of the operation")
    kind: Name | None = Field(default=None, description="the condition; none where the programme has the repair")


class ClientSummary(Frozen):
    """What a line of the caseload shows of one client. Only `no_session` depends on the day on which it is read.

    Of a programme of several exercises, `exercises` has the same of each, with its name and side; the client's own is
    then what holds for them together, and its load, status and decision are those of the first.
    Load and repetitions are those of the next session, without a load where none can be planned.
    `no_session` says why no session may start on that day, and `obstacle` what kind of reason that is.
    `fault` says what is wrong with the client's files; the other fields are then unknown. `trained_on` holds the
    most recent days.
    """

    folder: str
    name: Name | None = Field(default=None, description="of the exercise, where the programme has several")
    side: Side | None = None
    exercises: tuple["ClientSummary", ...] = ()
    fault: str = ""
    status: Status = "active"
    exercise: Name | None = None
    position: str = "0"
    mean_nm: float | None = None
    low_nm: float | None = None
    high_nm: float | None = None
    repetitions: int = 0
    sessions: int = 0
    days_a_week: int = 0
    weekdays: tuple[Weekday, ...] = Field(default=(), description="those that exercises have as their own days")
    prescribed_on: date | None = None
    first_session: date | None = None
    last_seen: date | None = Field(default=None, description="the newest record, also of a session that was stopped")
    looked_at: date | None = None
    obstacle: Name | None = None
    no_session: str = ""
    condition: tuple[ClientCondition, ...] = ()
    irritability: Irritability | None = None
    band_age: float = Field(
        default=0.0, description="the largest uncertainty that the use of a band in the programme adds to its tension"
    )
    trained_on: tuple[date, ...] = ()
    weeks: tuple[ClientWeek, ...] = Field(default=(), description="the last twelve, the one that ends today last")
    pain: int | None = Field(default=None, description="the worst since the client was last seen at a visit")
    sign: Name | None = Field(default=None, description="the warning sign of the last decision, where it was one")
    seen_on: date | None = Field(default=None, description="the day of the last visit")
    answered: tuple[AnsweredNeed, ...] = Field(default=(), description="what was done about needs, in order")
    discharged: date | None = Field(default=None, description="the day of the visit at which the client left")
    discharge_reason: DischargeReason | None = None
    since_discharge: int = Field(default=0, description="sessions that the discharge did not know of")
    trained_closed: ClosedSession | None = Field(default=None, description="the newest such session")
    under_sessions: int = 0
    measured: MeasuredCourse = MeasuredCourse()
    pending: int = Field(default=0, description="instructions that wait to be signed again")
    rule: Name | None = None
    reason: str = ""
    tell: dict[Name, str] = {}
    limits: dict[Name, float] = {}
    newest_date: date | None = Field(default=None, description="of the newest record or instruction")
    two_versions: tuple[str, ...] = Field(default=(), description="copies that differ from the file itself")
    damaged: tuple[str, ...] = Field(default=(), description="records that are not as they were written")

    @property
    def due(self) -> DueDays:
        """The days on which a session is asked for."""
        return DueDays(self.days_a_week, self.weekdays)

    @property
    def each(self) -> tuple["ClientSummary", ...]:
        """Each exercise of the programme; where it has only one, the client."""
        return self.exercises or (self,)

    @property
    def shown_name(self) -> str:
        """The name of the folder without control characters."""
        return shown_name(self.folder)


def shown_name(folder: str) -> str:
    """The name of a folder without control characters."""
    return "".join("\N{REPLACEMENT CHARACTER}" if is_control(one) else one for one in folder)


def packed(summary: ClientSummary) -> str:
    """A summary as text, a fifth of its size as an object; what is as by default is left out.

    Names of files that are not UTF-8 are kept too.
    """
    return json.dumps(summary.model_dump(exclude_defaults=True), default=date.isoformat, separators=(",", ":"))


def unpacked(text: str) -> ClientSummary:
    """The summary that was packed. Raises ValueError for another text."""
    return ClientSummary.of_clean(json.loads(text), dates=False)
