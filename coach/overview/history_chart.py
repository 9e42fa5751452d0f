"""What a picture of a client's past is made of, and the past that it is made from. Drawn elsewhere."""

from dataclasses import dataclass
from datetime import date

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.history_charts import PictureName, PicturesWords
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.progress import Progress
from coach.model.record import Record
from coach.progression.state_machine import JudgedRecord

Point = tuple[date, float]


@dataclass(frozen=True)
class Series:
    """Points of one kind, with a mark of one character.

    What was measured has a capital letter; `alike` are its points that differ from the last by less than the error,
    with the same letter, small.
    """

    said: str
    mark: str
    points: tuple[Point, ...]
    alike: tuple[Point, ...] = ()


@dataclass(frozen=True)
class Picture:
    """What to draw, and what to say below it.

    `days` and `span` are shown in any case, to the right and upward; `rows` names the values upward, from 1, where
    they are no plain numbers; a row with no name is left empty. The lowest and the highest have one.
    """

    name: PictureName
    title: str
    series: tuple[Series, ...]
    notes: tuple[str, ...] = ()
    rows: tuple[str, ...] = ()
    days: tuple[date, date] | None = None
    span: tuple[float, float] | None = None


@dataclass(frozen=True)
class Past:
    """A client's past: who, what was prescribed, each judged record in order of time, where they stand, and today."""

    profile: Profile
    prescription: Prescription
    judged: tuple[JudgedRecord, ...]
    now: Progress
    content: Content
    today: date

    @property
    def words(self) -> PicturesWords:
        """The words of the pictures."""
        return self.content.words.of(PicturesWords)

    @property
    def trained(self) -> tuple[Record, ...]:
        """The records in which a set was done."""
        return tuple(one.record for one in self.judged if one.record.sets_done)

    @property
    def days(self) -> tuple[date, date] | None:
        """The days of the first and of the last record; None where there is none."""
        days = [day_of(one.record) for one in self.judged]
        return (min(days), max(days)) if days else None

    def title(self, name: PictureName) -> str:
        """The title of a picture."""
        return fill(self.words.title, {"profile": self.profile.name, "picture": self.words.picture[name]})


def day_of(record: Record) -> date:
    """The day of a record, as the calendar where the client was said it."""
    return record.started.date()
