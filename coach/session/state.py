"""The state of a session at one moment. Pure: time is passed in."""

from datetime import datetime
from typing import NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from coach.model import step_names
from coach.model.option_names import TELL_BY, TellBy
from coach.model.programme.session_file import FileEntry, SessionFile
from coach.model.record import Chosen, Record
from coach.progression.state_machine import ImmediateAction
from coach.session.lessons.pacing import Pace, pace_of_next_set
from coach.session.plan import Plan
from coach.session.script import Ask, Rest, Script, Show, Step, Teach, Trial, Work, set_of
from coach.session.tempo import SetMoment, SetTiming, moment_at


class Instant(NamedTuple):
    """A point in time: seconds of a monotonic clock, and the time of day for the record."""

    s: float
    at: datetime


class Stopwatch(Struct, frozen=True):
    """Elapsed seconds before the last start, and the time of that start; None while stopped.

    The elapsed time is computed and not counted, so that the frequency of updates does not matter.
    """

    banked_s: float = 0.0
    since_s: float | None = None

    def elapsed_s(self, now_s: float) -> float:
        """Elapsed seconds at `now_s`."""
        return self.banked_s + (0.0 if self.since_s is None else max(0.0, now_s - self.since_s))

    def started(self, now_s: float) -> "Stopwatch":
        """The stopwatch running from `now_s` on; unchanged if it is running already."""
        return self if self.since_s is not None else replace(self, since_s=now_s)

    def stopped(self, now_s: float) -> "Stopwatch":
        """The stopwatch stopped at `now_s`."""
        return Stopwatch(self.elapsed_s(now_s), None)


class State(NamedTuple):
    """The state of a session.

    `seen_s`: the time of the last update. `whole`, `under_load_s`: repetitions and seconds under load of the current
    set before a pause. `asking`: a question that a key brought up during the step. `cue_asked_for`: the number of the
    set whose cue the client asked to see. `chosen`: an answer that would end the session, on the page that asks for
    its confirmation. `why_shown`: the client asked for the rule and the source of the decision.

    Of a programme, `session` is the session with everything before the entries that this exercise has added; the
    first `inherited` entries of `record` are in it. `coming` are the exercises that may follow.
    """

    plan: Plan
    script: Script
    record: Record
    at_step: int
    watch: Stopwatch
    seen_s: float
    whole: int = 0
    under_load_s: float = 0.0
    paused: bool = False
    asking: Ask | None = None
    verdict: ImmediateAction | None = None
    cue_asked_for: int = 0
    chosen: Chosen | None = None
    why_shown: bool = False
    session: SessionFile | None = None
    coming: tuple[Plan, ...] = ()
    inherited: int = 0

    @property
    def file_entries(self) -> tuple[FileEntry, ...]:
        """Every entry of the session so far, as its file holds them."""
        own = self.record.entry[self.inherited :]
        return own if self.session is None else (*self.session.entry, *own)

    @property
    def file_session(self) -> SessionFile:
        """The session with every entry so far. Raises ValueError where there is no programme."""
        if self.session is None:
            raise ValueError("this session has one exercise, and its record is the session")
        return self.session.with_entry(*self.record.entry[self.inherited :])

    @property
    def several(self) -> bool:
        """Whether the session has several exercises."""
        return self.session is not None and len(self.session.exercises) > 1

    @property
    def another_follows(self) -> bool:
        """Whether this exercise is over and the client may go on with another one."""
        return self.over and bool(self.coming)

    @property
    def step(self) -> Step:
        """The current step."""
        return self.script.steps[self.at_step]

    @property
    def question(self) -> Ask | None:
        """The question on the screen, or None."""
        if self.asking is not None:
            return self.asking
        return self.step if isinstance(self.step, Ask) else None

    @property
    def set_number(self) -> int:
        """The number of the set under way, asked about, or coming next."""
        passed = {*self.record.skipped, *(done.number for done in self.record.sets_done)}
        to_come = (number for number in range(1, self.record.sets_today + 1) if number not in passed)
        return set_of(self.step) or next(to_come, self.record.sets_today)

    @property
    def tell_by(self) -> TellBy | None:
        """How the client tells what the form was, as chosen in this session or before; None where not chosen."""
        chosen = self.record.answer(step_names.TELL_BY)
        return next((way for way in TELL_BY if way == chosen), self.plan.tell_by)

    @property
    def pace(self) -> Pace:
        """How much of the tempo is led in the current or next set; all of it without the band."""
        if self.practising:
            return "seconds"
        return pace_of_next_set(self.plan.before, self.record, self.plan.book)

    @property
    def over(self) -> bool:
        """Whether the record is closed: nothing more can be done or answered."""
        return self.record.ended is not None

    @property
    def goes_on_by_itself(self) -> bool:
        """Whether time leads on without a key, as in a set; a lesson is shown, and a trial timed, for any time."""
        return self.watch.since_s is not None and not isinstance(self.step, Teach | Trial)

    @property
    def practising(self) -> bool:
        """Whether the movement without the band is being led."""
        before_sets = isinstance(self.step, Show) and self.step.name == step_names.REACH
        return before_sets and self.watch.since_s is not None

    @property
    def practice_repetitions(self) -> int:
        """Repetitions without the band that are led together: a whole set where only the movement is practised."""
        return self.record.repetitions if self.plan.practice else round(self.plan.limits["practice_repetitions"])

    @property
    def remaining_set(self) -> SetTiming | None:
        """The timing of the current set without the repetitions done before a pause; None outside a set.

        Also that of the repetitions that are led without the band.
        """
        if self.practising:
            count_in_s = min(self.record.dose.count_in_s, self.plan.limits["practice_count_in_s"])
            return SetTiming(count_in_s, self.practice_repetitions, self.record.dose.tempo)
        if not isinstance(self.step, Work):
            return None
        time = self.step.time
        return replace(time, repetitions=max(0, time.repetitions - self.whole))

    @property
    def count_in_s(self) -> float:
        """The seconds of the count-in of this set or the next one, with the way to the mark if a key begins it."""
        works = (step.time.count_in_s for step in self.script.steps[self.at_step :] if isinstance(step, Work))
        seconds = next(works, self.record.dose.count_in_s)
        return seconds if isinstance(self.step, Work | Rest) else max(seconds, self.way_s)

    @property
    def way_s(self) -> int:
        """The seconds to walk from the keys to the mark."""
        return round(self.plan.limits["first_count_in_s"])

    def moment(self, now_s: float) -> SetMoment | None:
        """The moment of the current set, with the repetitions done before a pause; None outside a set."""
        time = self.remaining_set
        if time is None:
            return None
        moment = moment_at(time, self.watch.elapsed_s(now_s))
        return replace(moment, repetition=moment.repetition + self.whole, whole=moment.whole + self.whole)

    def rest_left_s(self, now_s: float) -> float:
        """Remaining seconds of rest; 0 outside a rest."""
        return max(0.0, self.step.seconds - self.watch.elapsed_s(now_s)) if isinstance(self.step, Rest) else 0.0

    def takes_place(self, now_s: float) -> bool:
        """Whether so little of a rest before a set is left that the client goes to the place of the exercise."""
        rests = isinstance(self.step, Rest) and self.step.name != step_names.BETWEEN and not self.paused
        return rests and self.rest_left_s(now_s) <= self.plan.limits["take_place_s"]
