"""A simulated client with a tempo of their own, who learns it, or not, from what they are told.

All values are our own assumptions but the tempo of those who rush: unpaced, ten healthy adults took 1.0 to 2.6 s for
a band rotation, computed from the recordings of Burns DM et al., Physiol Meas 2018;39:075007.
"""

from collections.abc import Iterator
from datetime import datetime, timedelta

from msgspec import Struct
from msgspec.structs import replace

from coach.model.answers_file import Answers
from coach.progression.state_machine import advance
from coach.session.lessons.pacing import Pace, pace_after
from coach.session.plan import Plan
from coach.session.rehearsal import rehearse


class TimingClient(Struct, frozen=True):
    """`repetition_s`: seconds of a repetition, nothing leading. `learns`: the share of the error lost when told.

    `slips`: the number of a session, from 0, and the seconds of a repetition from then on.
    """

    repetition_s: float
    learns: float = 0.0
    slips: tuple[int, float] | None = None

    def told(self, right_s: float) -> "TimingClient":
        """The client after hearing what was right."""
        return replace(self, repetition_s=self.repetition_s + self.learns * (right_s - self.repetition_s))

    def in_session(self, number: int) -> "TimingClient":
        """The client as they come to a session."""
        if self.slips is None or self.slips[0] != number:
            return self
        return replace(self, repetition_s=self.slips[1], slips=None)


class TimedSession(Struct, frozen=True):
    """One session: sets done before it, the stage of its pace, and what was timed, if anything.

    A first set with more repetitions than before is led in full at every stage.
    """

    sets_before: int
    pace: Pace
    took_s: float | None
    right_s: float | None
    rule: str
    rises: bool


def timed_sessions(plan: Plan, client: TimingClient, sessions: int, first: datetime) -> Iterator[TimedSession]:
    """Simulate clean sessions, two days apart; the client is told after every trial that was off."""
    sets = 0
    for number in range(sessions):
        client = client.in_session(number)
        pace = pace_after(plan.before.pace_sets, plan.limits)
        repetitions = round(plan.limits["trial_repetitions"])
        answers = Answers(trial_s=round(repetitions * client.repetition_s, 1))
        record, ended = rehearse(plan, answers, first + timedelta(days=2 * number))
        timed, decision = record.own_tempo, ended.decision
        took_s, right_s = (timed.took_s, timed.right_s) if timed is not None else (None, None)
        yield TimedSession(sets, pace, took_s, right_s, decision.rule, decision.move == "progress")
        sets += len(record.sets_done)
        if right_s is not None:
            client = client.told(right_s / repetitions)
        after = advance(plan.before, record, plan.book).after
        step = next((one for one in plan.ladder.steps if one.mean_nm == decision.load.mean_nm), plan.step)
        plan = replace(plan, before=after, step=step)
