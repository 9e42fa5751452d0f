"""Figures across clients: who came, how long, what changed beyond the error of measurement, and what ended it.

Clients are added one by one, and only sums are kept: memory does not grow with their number.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Literal, get_args

from msgspec import Struct

from coach.model.messages.audit import CountFigure, CourseFigure
from coach.model.messages.letter import ResultKind, ResultUnit
from coach.model.record import Status
from coach.overview.results.client_course import CourseToDate
from coach.overview.results.first_and_last import Result
from coach.overview.results.suppression import shown_counts

GroupedBy = Literal["all", "position", "condition"]
_COURSE: tuple[CourseFigure, ...] = ("sessions", "weeks", "days", "kept", "repetitions")
_OF_A_PLACE: tuple[ResultKind, ...] = ("range", "strength", "load")
_STANDS: tuple[CountFigure, ...] = ("status", "discharged")
NO_CONDITION = "none"
HELD = "held"
"""Stands in place of the status of clients who are to go on and of whom no session may start now."""


class Figure(Struct, frozen=True):
    """One row of an audit. What is left out because it is of a few people is None, and `hidden` says so.

    `clients` counts people. Of a result, `measured` counts what was measured twice, and `higher`, `lower` and
    `within` divide it: a change beyond the error upward or downward, or one within it. `mean` and `sd` are those of
    the change; of a figure of the course, those of the figure itself.
    """

    by: GroupedBy
    group: str
    name: str
    detail: str = ""
    unit: str = ""
    clients: int | None = None
    measured: int | None = None
    first: float | None = None
    last: float | None = None
    mean: float | None = None
    sd: float | None = None
    higher: int | None = None
    lower: int | None = None
    within: int | None = None
    hidden: bool = False


class _Running:
    """The mean and the standard deviation of values that come one by one.

    After Welford BP, Technometrics 1962;4:419: no sum of squares of large numbers is taken.
    """

    def __init__(self) -> None:
        self.count, self.mean, self._squares = 0, 0.0, 0.0

    def add(self, value: float) -> None:
        self.count += 1
        off = value - self.mean
        self.mean += off / self.count
        self._squares += off * (value - self.mean)

    @property
    def sd(self) -> float | None:
        """The standard deviation of a sample; None of fewer than two values."""
        return (self._squares / (self.count - 1)) ** 0.5 if self.count > 1 else None


class _Changes:
    """The changes of one quantity in a group."""

    def __init__(self) -> None:
        self.clients = 0
        self.first, self.last, self.change = _Running(), _Running(), _Running()
        self.outcome: Counter[str] = Counter(higher=0, lower=0, within=0)

    def add(self, results: Iterable[Result]) -> None:
        """The results of one client that have two values and a known error."""
        self.clients += 1
        for one in results:
            assert one.last is not None
            change = one.last.value - one.first.value
            self.first.add(one.first.value)
            self.last.add(one.last.value)
            self.change.add(change)
            self.outcome["within" if one.beyond == "within" else "higher" if change > 0 else "lower"] += 1


class _Group:
    """The sums of one group."""

    def __init__(self) -> None:
        self.clients = self.came = self.with_sensor = self.measured = self.kept = 0
        self.course = {name: _Running() for name in _COURSE}
        self.changes: dict[tuple[ResultKind, ResultUnit], _Changes] = {}
        self.counts: Counter[tuple[CountFigure, str]] = Counter()

    def add(self, course: CourseToDate, results: Iterable[Result]) -> None:
        self.clients += 1
        self.came += bool(course.days)
        if course.days:
            values = (course.sessions, course.weeks, course.days, course.kept or 0.0, course.repetitions)
            for name, value in zip(_COURSE, values, strict=True):
                self.course[name].add(value)
        self.with_sensor += bool(course.tempo.measured)
        self.measured += course.tempo.measured
        self.kept += course.tempo.kept
        self._count(course)
        by_kind: dict[tuple[ResultKind, ResultUnit], list[Result]] = {}
        for one in results:
            if one.beyond != "unknown":
                by_kind.setdefault((one.kind, one.unit), []).append(one)
        for key, found in by_kind.items():
            self.changes.setdefault(key, _Changes()).add(found)

    def _count(self, course: CourseToDate) -> None:
        """Each client once for each reason, and of those who were discharged no status: nothing goes on."""
        statuses = [status for status in get_args(Status) if status in course.statuses]
        counted: list[tuple[CountFigure, str]] = [("status", status) for status in statuses[:1]]
        if counted == [("status", "active")] and not course.may_start:
            counted = [("status", HELD)]
        counted = [("discharged", course.discharged)] if course.discharged else counted
        counted += [("left", "")] if course.left else []
        counted += [("stopped", rule) for rule in course.stopped]
        counted += [("skipped", why) for why in course.skipped]
        self.counts.update(counted)


class Audit:
    """The figures of all clients that were added."""

    def __init__(self) -> None:
        self._groups: dict[tuple[GroupedBy, str], _Group] = {("all", ""): _Group()}
        self._unreadable = 0
        self.weeks: Counter[int] = Counter()
        """How many clients came for so many whole weeks, of those who came."""

    def add(self, course: CourseToDate) -> None:
        """Count one client."""
        self._of("all", "").add(course, course.results)
        for condition in course.conditions or (NO_CONDITION,):
            self._of("condition", condition).add(course, course.results)
        for exercise, position in course.positions:
            here = [one for one in course.results if _is_of(one, exercise, position, course)]
            self._of("position", f"{exercise} {position}").add(course, here)
        if course.days:
            self.weeks[int(course.weeks)] += 1

    def add_unreadable(self) -> None:
        """Count one client whose files cannot be read."""
        self._unreadable += 1

    def _of(self, by: GroupedBy, group: str) -> _Group:
        return self._groups.setdefault((by, group), _Group())

    def figures(self, least: float) -> tuple[Figure, ...]:
        """Every figure, those of fewer than `least` people left out."""
        found = list(_group_figures("all", "", self._groups["all", ""], least))
        found.append(Figure("all", "", "unreadable", clients=self._unreadable))
        for by in ("position", "condition"):
            groups = {name: group for (kind, name), group in sorted(self._groups.items()) if kind == by}
            shown = shown_counts({name: group.clients for name, group in groups.items()}, least)
            for name, group in groups.items():
                if shown[name] is None:
                    found.append(Figure(by, name, "clients", hidden=True))
                else:
                    found += _group_figures(by, name, group, least)
        return tuple(found)


def _is_of(result: Result, exercise: str, position: str, course: CourseToDate) -> bool:
    """Whether a result was measured in a position of an exercise."""
    place = result.place
    if place is None or place.position != position or result.kind not in _OF_A_PLACE:
        return False
    if place.exercise is not None:
        return place.exercise == exercise
    return (exercise, position, place.direction) in course.directions


def _group_figures(by: GroupedBy, name: str, group: _Group, least: float) -> Iterator[Figure]:
    if 0 < group.clients < least:
        yield Figure(by, name, "clients", hidden=True)
        return
    came = shown_counts({"came": group.came, "never_came": group.clients - group.came}, least)
    yield Figure(by, name, "clients", clients=group.clients)
    yield from (Figure(by, name, kind, clients=count, hidden=count is None) for kind, count in came.items())
    if group.came >= least:
        for kind, values in group.course.items():
            told = came["came"]
            yield Figure(by, name, kind, clients=told, mean=values.mean, sd=values.sd, hidden=told is None)
    if group.with_sensor >= least:
        yield Figure(by, name, "at_tempo", clients=group.with_sensor, mean=group.kept / group.measured)
    elif group.with_sensor:
        yield Figure(by, name, "at_tempo", hidden=True)
    for (result, unit), changes in sorted(group.changes.items()):
        yield _change(by, name, result, unit, changes, least)
    yield from _counts(by, name, group, least)


def _change(by: GroupedBy, name: str, kind: ResultKind, unit: ResultUnit, changes: _Changes, least: float) -> Figure:
    if changes.clients < least:
        return Figure(by, name, kind, unit=unit, hidden=True)
    shown = shown_counts(changes.outcome, least)
    return Figure(
        by,
        name,
        kind,
        unit=unit,
        clients=changes.clients,
        measured=changes.change.count,
        first=changes.first.mean,
        last=changes.last.mean,
        mean=changes.change.mean,
        sd=changes.change.sd,
        higher=shown["higher"],
        lower=shown["lower"],
        within=shown["within"],
        hidden=None in shown.values(),
    )


def _counts(by: GroupedBy, name: str, group: _Group, least: float) -> Iterator[Figure]:
    """How many clients each status, reason and rule is of.

    Each client has one status or was discharged for one reason: these are parts of one whole, the others are not.
    """
    stands = {key: count for key, count in group.counts.items() if key[0] in _STANDS}
    others = {key: count for key, count in group.counts.items() if key[0] not in _STANDS}
    shown = shown_counts(stands, least) | {key: count if count >= least else None for key, count in others.items()}
    for (kind, detail), count in sorted(shown.items()):
        yield Figure(by, name, kind, detail, clients=count, hidden=count is None)
