"""The file of one session of a programme: every exercise as it was asked for, then every entry in order."""

from collections.abc import Iterator
from datetime import date
from typing import Annotated, ClassVar, Literal

from coach.frozen import AwareDatetime, Bounds, Field
from coach.model import step_names
from coach.model.base import Frozen, Line, Name, NameOnce, PositionName, PositionNameOnly, Repetitions, Side
from coach.model.load_step import Rungs
from coach.model.option_names import UNKNOWN_PAIN
from coach.model.prescription import Dose
from coach.model.programme.written import Written
from coach.model.record import (
    Answered,
    BandAtHand,
    Chosen,
    Decision,
    Ended,
    Entry,
    LoadChanged,
    OwnTempo,
    Record,
    SetDone,
    TakenBack,
    Taught,
)

_SAID = (Answered, Chosen, TakenBack)


class SessionClosed(Frozen):
    """The client has finished for the day: exercises not begun are left out."""

    kind: ClassVar[Literal["closed"]] = "closed"
    at: AwareDatetime


FileEntry = (
    Answered | Chosen | TakenBack | SetDone | LoadChanged | BandAtHand | OwnTempo | Taught | Ended | SessionClosed
)


class SessionPart(Frozen):
    """One exercise as it was asked for in one session: what `Record` has besides its entries."""

    checked_once: ClassVar[tuple[str, ...]] = ("exercise", "form")
    name: Name
    exercise: NameOnce
    side: Side
    position: PositionName
    dose: Dose
    limits: dict[Name, float] = {}
    repetitions: Repetitions
    rungs: Rungs
    positions: tuple[PositionNameOnly, ...] = ()
    target_nm: float | None = None
    held_by: Name | None = None
    form: tuple[tuple[NameOnce, ...], ...] = ()
    alternates: Literal[True] | None = Field(
        default=None, description="done in turn with the exercise before it, set by set"
    )
    waits_for: tuple[Name, ...] = Field(
        default=(), description="exercises that have waited longer for a rise, and may still rise in this session"
    )


_OF_THE_SESSION = ("waits_for", "alternates")
"""What of a part is about the other exercises of the session, and not in the record of its own."""


class SessionFile(Frozen):
    """records/STARTED.toml of format 2."""

    format: Literal[2]
    started: AwareDatetime
    written: Written | None = Field(default=None, description="by which computer, and what that had seen")
    confirmed_on: date | None = Field(
        default=None, description="the day, as a person said that it is right although something is dated later"
    )
    activities: tuple[Line, ...] = Field(default=(), description="activities to rate, as of that day")
    night_pain_known: bool | None = None
    exercises: Annotated[tuple[SessionPart, ...], Bounds(min_length=1)]
    entry: tuple[FileEntry, ...] = ()

    @property
    def records(self) -> tuple[Record, ...]:
        """What was done of each exercise, in order; one that was not begun is left out, but never all of them."""
        begun = [self.record(part) for part in self.exercises if self.has_begun(part)]
        return tuple(begun)

    @property
    def last_at(self) -> AwareDatetime:
        """When the client last did or answered something."""
        return self.entry[-1].at if self.entry else self.started

    @property
    def ended(self) -> dict[Name, Ended]:
        """The exercises that were ended, by name, each with its closing entry."""
        first = self.exercises[0].name
        return {one.exercise or first: one for one in self.entry if isinstance(one, Ended)}

    @property
    def is_open(self) -> bool:
        """Whether something of the session may still be done."""
        if any(isinstance(one, SessionClosed) for one in self.entry):
            return False
        ended = self.ended
        over = any(ends_day(self.record(self.part(name)), one) for name, one in ended.items())
        return not over and len(ended) < len(self.exercises)

    def part(self, name: str) -> SessionPart:
        """The exercise of this name. Raises KeyError where the session has none."""
        for one in self.exercises:
            if one.name == name:
                return one
        raise KeyError(name)

    def with_entry(self, *entries: FileEntry) -> "SessionFile":
        """The session with these entries after the others."""
        return self.model_copy(update={"entry": (*self.entry, *entries)})

    def record(self, part: SessionPart) -> Record:
        """One exercise of the session as its record: its own entries and the answers of the common check-in."""
        values = {key: getattr(part, key) for key in SessionPart.model_fields if key not in _OF_THE_SESSION}
        return Record.model_construct(
            format=2,
            started=self.started,
            written=self.written,
            activities=self.activities,
            night_pain_known=self.night_pain_known,
            rise_taken=self._rise_taken(part),
            part=self.exercises.index(part),
            entry=tuple(self._entries(part)),
            **values,
        )

    @property
    def begun(self) -> tuple[Name, ...]:
        """The exercises of which a set was done and that were not ended, by name."""
        sets = {one.exercise or self.exercises[0].name for one in self.entry if isinstance(one, SetDone)}
        return tuple(part.name for part in self.exercises if part.name in sets and part.name not in self.ended)

    def are_in_turn(self, one: Name, other: Name) -> bool:
        """Whether two exercises of the session are done in turn."""
        first, second = sorted((self.exercises.index(self.part(one)), self.exercises.index(self.part(other))))
        return second == first + 1 and self.exercises[second].alternates is not None

    def moved_to(self, started: AwareDatetime) -> "SessionFile":
        """The same session at another time, with its entries as long after its start as they were."""
        later = started - self.started
        entries = tuple(one.model_copy(update={"at": one.at + later}) for one in self.entry)
        return self.model_copy(update={"started": started, "entry": entries})

    def has_begun(self, part: SessionPart) -> bool:
        """Whether anything was done or answered for an exercise alone; for the first one the check-in counts."""
        if part.name == self.exercises[0].name:
            return True
        return any(one.exercise == part.name for one in self.entry if not isinstance(one, SessionClosed))

    def _rise_taken(self, part: SessionPart) -> Name | None:
        """The exercise whose load rose before this one was decided, or that may still rise and goes first."""
        order, ended = [one.name for one in self.exercises], dict[str, Ended]()
        for entry in self.entry:
            if isinstance(entry, Ended):
                name = entry.exercise or order[0]
                if name == part.name:
                    break
                ended[name] = entry
        rose = (name for name, one in ended.items() if one.decision.raises_load)
        waiting = (name for name in part.waits_for if name in order and name not in ended)
        return next(rose, None) or next(waiting, None)

    def _entries(self, part: SessionPart) -> Iterator[Entry]:
        """The entries that count for an exercise, up to its own end."""
        first = self.exercises[0].name
        for entry in self.entry:
            if isinstance(entry, SessionClosed):
                continue
            own = (entry.exercise or first) == part.name
            if own or is_common_entry(entry):
                yield entry
            if own and isinstance(entry, Ended):
                return


def closes_every_exercise(record: Record, decision: Decision) -> bool:
    """Whether the therapist has to let every exercise of the programme go on.

    After a check-in, and after a stop that they look at: a warning sign, severe pain, or pain that stopped again. A
    position that is done with concerns its own exercise alone.
    """
    return decision.status == "review" and (decision.move == "stop" or _decided_at_check_in(record))


def ends_day(record: Record, ended: Ended) -> bool:
    """Whether no other exercise may follow.

    Only the therapist lets go on, the check-in stops all of them or pain before the first set does, what the band
    pulls on is not safe, or nobody knows how strong a pain is.
    """
    if ended.how != "stopped":
        return closes_every_exercise(record, ended.decision)
    unknown = ended.decision.numbers.get("pain") == UNKNOWN_PAIN
    of_all = unknown or _is_unsafe(ended.decision) or _stopped_outside_sets(record)
    return of_all or closes_every_exercise(record, ended.decision)


def _is_unsafe(decision: Decision) -> bool:
    """Whether it stopped for today because of the band or its anchor: the rule says what is wrong with them."""
    return decision.move == "stop" and decision.status == "paused" and "what" in decision.numbers


def _decided_at_check_in(record: Record) -> bool:
    """Whether a session ended before anything of one exercise was done or asked."""
    return all(isinstance(one, Ended) or is_common_entry(one) for one in record.entry)


def _stopped_outside_sets(record: Record) -> bool:
    """Whether what stopped an exercise is of the check-in, also of one asked again, or came before its first set."""
    said = [one for one in record.entry if not isinstance(one, Ended)]
    return not record.sets_done or is_common_entry(said[-1])


def is_common_entry(entry: Entry) -> bool:
    """Whether an entry is an answer that holds for every exercise: of the check-in, and how many sets to do."""
    if not isinstance(entry, _SAID):
        return False
    return step_names.group_of(entry.step) == step_names.CHECK_IN or entry.step == step_names.SETS_TODAY
