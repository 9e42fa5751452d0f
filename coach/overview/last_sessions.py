"""The newest sessions of a client as a dated list: for the end of a session."""

from collections.abc import Iterable
from datetime import date, datetime
from itertools import groupby

from msgspec import Struct

from coach.model.content import Messages
from coach.model.message_format import fill
from coach.model.record import Record


class DoneOnADay(Struct, frozen=True):
    """What was done in one session, of all its exercises."""

    day: date
    sets: int
    repetitions: int


def last_sessions(records: Iterable[Record], most: int) -> tuple[DoneOnADay, ...]:
    """The newest sessions in which a set was done, the latest last; records of one file began at the same time."""
    trained = sorted((one for one in records if one.sets_done), key=_began)
    sessions = [(began, list(of_one)) for began, of_one in groupby(trained, key=_began)][-most:]
    return tuple(
        DoneOnADay(
            began.date(),
            sum(len(one.sets_done) for one in of_one),
            sum(done.repetitions for one in of_one for done in one.sets_done),
        )
        for began, of_one in sessions
    )


def session_lines(sessions: Iterable[DoneOnADay], messages: Messages) -> tuple[str, ...]:
    """A line for each session."""
    end = messages.client.end
    return tuple(
        fill(
            end.session,
            {
                "weekday": end.weekday[one.day.weekday()],
                "date": one.day.isoformat(),
                "sets": one.sets,
                "repetitions": one.repetitions,
            },
        )
        for one in sessions
    )


def _began(record: Record) -> datetime:
    return record.started
