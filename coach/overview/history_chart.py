"""The data of a chart, independent of how it is drawn, and the client's history that it is made from."""

from datetime import date
from string import ascii_lowercase, ascii_uppercase

from msgspec import Struct

from coach.drawing.plots.plot import CurveRole
from coach.model.base import Name
from coach.model.content import Content
from coach.model.exercise import LOAD_UNITS, Coordinate, LoadUnit, coordinate_of
from coach.model.message_format import fill
from coach.model.messages.therapist_reports import ChartName, HistoryChartMessages
from coach.model.prescription import Prescription
from coach.model.profile import Profile, Weekday
from coach.model.programme.due_days import DueDays, due_days
from coach.model.progress import Progress
from coach.model.record import Record
from coach.progression.state_machine import JudgedRecord

ChartPoint = tuple[date, float]

MARKS: tuple[tuple[str, str], ...] = (
    *(("●", "○"), ("■", "□"), ("▲", "△"), ("◆", "◇"), ("▼", "▽")),
    *zip(ascii_uppercase, ascii_lowercase, strict=True),
)
"""The marks of series, told apart by shape: filled, and hollow for a change within the error of measurement."""


class Series(Struct, frozen=True):
    """Points of one kind with their mark, and where they have one a line and its spread.

    `within_error` holds the points that differ from the last changed value by less than the error of measurement;
    they are drawn with the mark `hollow`. `spread` holds for each day the lower and the upper value. `brief` is the
    label without numbers, where it has some.
    """

    label: str
    mark: str
    points: tuple[ChartPoint, ...]
    within_error: tuple[ChartPoint, ...] = ()
    hollow: str = ""
    line: tuple[ChartPoint, ...] = ()
    line_role: CurveRole = "curve"
    spread: tuple[tuple[date, float, float], ...] = ()
    brief: str = ""


class Chart(Struct, frozen=True):
    """What to draw, with its title and the notes below it.

    `days` and `span` are the least range of the horizontal and the vertical axis. `rows` labels the values from 1
    upward where they are not plain numbers; an empty label leaves its row unlabelled, and the lowest and the
    highest row always have one.
    """

    name: ChartName
    title: str
    series: tuple[Series, ...]
    notes: tuple[str, ...] = ()
    rows: tuple[str, ...] = ()
    days: tuple[date, date] | None = None
    span: tuple[float, float] | None = None


class ClientHistory(Struct, frozen=True):
    """A client's profile, prescription, judged records in order of time, progress now, and today's date.

    `weekdays` are the exercise's own days, where it has some.
    """

    profile: Profile
    prescription: Prescription
    judged: tuple[JudgedRecord, ...]
    now: Progress
    content: Content
    today: date
    weekdays: tuple[Weekday, ...] = ()

    @property
    def due(self) -> DueDays:
        """The days on which the exercise is due."""
        return due_days([(self.prescription.dose.days_a_week, self.weekdays)])

    @property
    def messages(self) -> HistoryChartMessages:
        """The messages of the charts in the client's language."""
        return self.content.messages.therapist.history_charts

    @property
    def trained(self) -> tuple[Record, ...]:
        """The records in which a set was done."""
        return tuple(one.record for one in self.judged if one.record.sets_done)

    @property
    def days(self) -> tuple[date, date] | None:
        """The days of the first and of the last record; None if there are no records."""
        days = [record_date(one.record) for one in self.judged]
        return (min(days), max(days)) if days else None

    def title(self, name: ChartName) -> str:
        """What a chart shows, with its units."""
        units = self.load_units if name == "load" else self.units
        return fill(self.messages.picture[name], units)

    @property
    def load_units(self) -> dict[str, str]:
        """The units of the loads of the load steps, by the name of their placeholder."""
        found = sorted({record.rungs.step.load_unit for record in self.trained}, reverse=True)
        return {"unit": ", ".join(found or self._units_now[1])}

    @property
    def units(self) -> dict[str, str]:
        """The units of the ranges and strengths as measured, by the names of their placeholders."""
        along, unit = self._units_now
        return {
            "along": ", ".join(self.content.messages.therapist.along[one] for one in along),
            "unit": ", ".join(unit),
        }

    @property
    def _units_now(self) -> tuple[list[Coordinate], list[LoadUnit]]:
        """The coordinates of the ranges and the units of the strengths; else those of the exercise."""
        exercise = self.content.exercises.get(self.prescription.exercise)
        here = exercise.positions[0].direction if exercise is not None else "external"
        ranges = {coordinate_of(one.direction) for one in self.profile.ranges} or {coordinate_of(here)}
        strengths = {coordinate_of(one.direction) for one in self.profile.strengths} or {coordinate_of(here)}
        return sorted(ranges), [LOAD_UNITS[one] for one in sorted(strengths)]

    def motion_label(self, motion: str, position: Name) -> str:
        """The label of a series at one position, with the motion where it is not empty."""
        line = self.messages.motion_at_position if motion else self.messages.at_position
        return fill(line, {"motion": motion, "position": self.content.position_label(position)})


def record_date(record: Record) -> date:
    """The day on which a session was started, in the client's time zone."""
    return record.started.date()
