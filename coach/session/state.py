"""One moment of a session: where the client is, what was written, what is asked. Pure: time is passed in."""

from dataclasses import replace
from datetime import datetime
from typing import NamedTuple

from coach.model.record import Record
from coach.progression.state_machine import ImmediateAction
from coach.session.plan import Plan
from coach.session.script import Ask, Rest, Script, Step, Work, set_of
from coach.session.stopwatch import Stopwatch
from coach.session.tempo import Moment, SetTime, moment_at


class Present(NamedTuple):
    """Now: seconds of a clock that never jumps, and the time of day for the record."""

    s: float
    at: datetime


class State(NamedTuple):
    """One moment of a session. `asking` is a question that a key put in front of the step; `cue_asked_for` is the
    set whose cue the client wanted to see."""

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

    @property
    def step(self) -> Step:
        """The step the client is at."""
        return self.script.steps[self.at_step]

    @property
    def question(self) -> Ask | None:
        """The question on the screen, if there is one."""
        if self.asking is not None:
            return self.asking
        return self.step if isinstance(self.step, Ask) else None

    @property
    def set_number(self) -> int:
        """The set under way, asked about, or to come."""
        passed = {*self.record.skipped, *(done.number for done in self.record.sets_done)}
        to_come = (number for number in range(1, self.record.sets_today + 1) if number not in passed)
        return set_of(self.step) or next(to_come, self.record.sets_today)

    @property
    def over(self) -> bool:
        """The closing entry is written: nothing more can be done or answered."""
        return self.record.ended is not None

    @property
    def time_left(self) -> SetTime | None:
        """The set under way without the repetitions done before a pause; None outside a set."""
        if not isinstance(self.step, Work):
            return None
        time = self.step.time
        return replace(time, repetitions=max(0, time.repetitions - self.whole))

    def moment(self, now_s: float) -> Moment | None:
        """Where the set under way is, counting the repetitions done before a pause; None outside a set."""
        time = self.time_left
        if time is None:
            return None
        moment = moment_at(time, self.watch.elapsed_s(now_s))
        return replace(moment, repetition=moment.repetition + self.whole, whole=moment.whole + self.whole)

    def rest_left_s(self, now_s: float) -> float:
        """Seconds of rest still to come; 0 outside a rest."""
        return max(0.0, self.step.seconds - self.watch.elapsed_s(now_s)) if isinstance(self.step, Rest) else 0.0
