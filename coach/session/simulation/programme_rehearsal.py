"""A session of several exercises run with prepared answers, by the same runner as a real one; nothing is saved."""

from collections.abc import Sequence
from datetime import datetime
from itertools import groupby, pairwise

from msgspec import Struct

from coach.model.answers_file import Answers
from coach.model.programme.session_file import SessionFile
from coach.model.record import Ended, Record
from coach.session.next_exercise import coming_script
from coach.session.plan import Plan
from coach.session.rehearsal import programme_states
from coach.session.script import Script


class RehearsedExercise(Struct, frozen=True):
    """One exercise of a rehearsed session: the script that it began with, and what was done and decided."""

    plan: Plan
    script: Script
    record: Record

    @property
    def ended(self) -> Ended | None:
        """How it ended; None where the answers never come to its end."""
        return self.record.ended


class RehearsedSession(Struct, frozen=True):
    """A rehearsed session: the exercises that were begun, and the file that it would have been."""

    exercises: tuple[RehearsedExercise, ...]
    file: SessionFile

    @property
    def seconds(self) -> float:
        """The planned length of a session without faults."""
        return sum(one.script.seconds for one in self.exercises)


def rehearse_exercises(plans: Sequence[Plan], answers: Answers, at: datetime) -> RehearsedSession:
    """Run a session of these exercises with these answers. Raises ValueError as `rehearse`.

    Of two that are done in turn, each is one exercise with its own sets, in the order in which they were begun.
    """
    rehearsed = dict[str | None, RehearsedExercise]()
    for name, group in groupby(programme_states(plans, answers, at), key=lambda state: state.plan.name):
        begun, *rest = group
        last = rest[-1] if rest else begun
        script = rehearsed[name].script if name in rehearsed else begun.script
        rehearsed[name] = RehearsedExercise(begun.plan, script, last.record)
    return RehearsedSession(tuple(rehearsed.values()), last.file_session)


def planned_exercises(plans: Sequence[Plan], at: datetime) -> RehearsedSession:
    """A session of these exercises without faults or pain, with every exercise.

    Where a rule stops the rehearsal, as after a long break, the exercises that were not begun have their scripts too.
    """
    session = rehearse_exercises(plans, Answers(), at)
    begun = {one.plan.name: one for one in session.exercises}
    every = [begun[plans[0].name]]
    for before, plan in pairwise(plans):
        rest_s = 0.0 if plan.alternates_with == before.name else float(every[-1].record.dose.rest_s)
        record, script = coming_script(session.file, plan, rest_s)
        every.append(begun.get(plan.name) or RehearsedExercise(plan, script, record))
    return RehearsedSession(tuple(every), session.file)
