"""What a client did from the first session to the last: sessions, days, repetitions, tempo; what ended sessions."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta

from msgspec import Struct

from coach.model.base import Name
from coach.model.content import Content
from coach.model.measured.tempo_kept import at_tempo, timed
from coach.model.option_names import Direction, DischargeReason
from coach.model.profile import Profile
from coach.model.programme.due_days import DueDays
from coach.model.progress import Progress
from coach.model.record import Record, Status
from coach.overview.results.first_and_last import Result, results_of
from coach.overview.visits.since_visit import ExerciseCourse, due_days_of_courses, measured_days

_DAYS_PER_WEEK = 7


class TempoKept(Struct, frozen=True):
    """Repetitions that a sensor measured, and those of them at the tempo that was asked for."""

    measured: int = 0
    kept: int = 0
    days: int = 0
    """Days on which a set was measured."""


class CourseToDate(Struct, frozen=True):
    """The course of one client.

    `days` are those with a set, `due` those that were asked for between the first and the last of them. `stopped`
    has the sessions that a rule stopped, by its name; `left` those that were left, `skipped` the sets not begun, by
    the reason. `positions` are those trained, of each exercise, and `directions` says which way each motion goes.
    """

    client: str
    conditions: tuple[Name, ...]
    positions: tuple[tuple[Name, str], ...]
    directions: frozenset[tuple[Name, str, Direction]]
    sessions: int
    days: int
    due: int
    first: date | None
    last: date | None
    repetitions: int
    tempo: TempoKept
    statuses: tuple[Status, ...]
    stopped: Mapping[str, int]
    left: int
    skipped: Mapping[str, int]
    discharged: DischargeReason | None
    results: tuple[Result, ...]
    may_start: bool = True

    @property
    def weeks(self) -> float:
        """From the first session to the last."""
        return 0.0 if self.first is None or self.last is None else (self.last - self.first).days / _DAYS_PER_WEEK

    @property
    def kept(self) -> float | None:
        """The days trained as a share of those due, at most 1; None where no set was done."""
        return min(self.days / self.due, 1.0) if self.due else None


def client_course(
    client: str,
    profile: Profile,
    courses: Sequence[ExerciseCourse],
    each: Sequence[Progress],
    content: Content,
    discharged: DischargeReason | None = None,
    may_start: bool = True,
) -> CourseToDate:
    """The course of a client; `each` says where every exercise stands, `profile` what was measured of both sides.

    `may_start` says whether a session of any exercise may start now.
    """
    limits = content.limit_values({name: value for one in courses for name, value in _limits(one).items()})
    records = sorted((one.record for course in courses for one in course.judged), key=lambda one: one.started)
    done = [one for one in records if one.sets_done]
    days = sorted({one.started.date() for one in done})
    due = _due(days[0], days[-1], due_days_of_courses(courses)) if days else 0
    sessions = {one.started: one for one in records}
    return CourseToDate(
        client=client,
        conditions=tuple(sorted({one.kind for one in profile.condition})),
        positions=tuple(sorted({(one.exercise, one.position) for one in done})),
        directions=frozenset(_directions(done, content)),
        sessions=len(sessions),
        days=len(days),
        due=max(due, len(days[:1])),
        first=days[0] if days else None,
        last=days[-1] if days else None,
        repetitions=sum(one.repetitions for record in done for one in record.sets_done),
        tempo=_tempo(courses, limits),
        statuses=tuple(one.status for one in each),
        stopped=Counter(_stopping_rules(records)),
        left=len({one.started for one in records if one.ended is not None and one.ended.how == "left"}),
        skipped=Counter(why for one in records for why in one.skipped.values()),
        discharged=discharged,
        results=results_of(profile, courses, each[0].ratings if each else (), limits),
        may_start=may_start,
    )


def _due(first: date, last: date, asked: DueDays) -> int:
    """The days that were asked for from the first session to the last; where they are not named, both counted."""
    if asked.are_named:
        return round(asked.in_span(first, last))
    return round(asked.in_span(first + timedelta(days=1), last)) + 1


def _limits(course: ExerciseCourse) -> Mapping[str, float]:
    """The limits that the therapist had moved in the last session."""
    return course.judged[-1].record.limits if course.judged else {}


def _directions(done: Sequence[Record], content: Content) -> Iterator[tuple[Name, str, Direction]]:
    for exercise, position in {one.exercise_position for one in done}:
        if exercise in content.exercises:
            yield exercise, position, content.exercise(exercise).position(position).direction


def _stopping_rules(records: Sequence[Record]) -> Iterator[str]:
    """The rule that stopped each session that was stopped; of several exercises each rule once."""
    stopped = {
        (one.started, one.ended.decision.rule)
        for one in records
        if one.ended is not None and one.ended.how == "stopped"
    }
    yield from (rule for _, rule in sorted(stopped))


def _tempo(courses: Sequence[ExerciseCourse], limits: Mapping[str, float]) -> TempoKept:
    sets = [found for course in courses for found in course.measured_sets]
    kept = sum(at_tempo(of_set, one.record.dose.tempo, limits) for one, of_set in sets)
    return TempoKept(sum(timed(of_set) for _, of_set in sets), kept, measured_days(courses))
