"""Today's session of a programme as text: every exercise in its order, what is between them, and what if."""

from collections.abc import Iterator
from datetime import datetime
from itertools import pairwise

from msgspec import Struct

from coach.model import step_names
from coach.model.answers_file import Answers
from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.programme.session_file import SessionFile
from coach.model.record import Ended
from coach.progression.state_machine import replay
from coach.reports.text.layout import heading, paragraph
from coach.reports.text.next_session import Following, following, following_lines
from coach.reports.text.preview import (
    condition_lines,
    decision_lines,
    end_lines,
    no_session_lines,
    step_lines,
    timed_lines,
    today_lines,
)
from coach.session.lessons.cautions import cautions_before
from coach.session.phrases import exercise_line
from coach.session.plan import Plan
from coach.session.script import Rest, Step
from coach.session.simulation.programme_rehearsal import RehearsedExercise, planned_exercises, rehearse_exercises


class TodaysSession(Struct, frozen=True):
    """The plan of each exercise that is done today, each with its title, and what is said of those that are not.

    `no_session` says why none may start now; empty where one may.
    """

    plans: tuple[Plan, ...]
    titles: tuple[str, ...]
    not_today: tuple[str, ...] = ()
    no_session: str = ""

    @property
    def content(self) -> Content:
        """The content in the client's language."""
        return self.plans[0].content

    @property
    def in_turn(self) -> tuple[str, ...]:
        """Which exercises are done in turn, set by set: their times are those of each by itself."""
        line = self.content.messages.client.programme.in_turn
        pairs = ((one, other) for one, other in pairwise(self.plans) if other.alternates_with == one.name)
        return tuple(fill(line, {"one": _what(one)["what"], "other": _what(other)["what"]}) for one, other in pairs)


class PlannedStep(Struct, frozen=True):
    """One step of the session: its start in seconds, its name and its lines, the heading first."""

    start_s: float
    name: str
    lines: tuple[str, ...]


class PlannedExercise(Struct, frozen=True):
    """One exercise of the session as it is planned."""

    title: str
    exercise: RehearsedExercise
    start_s: float
    steps: tuple[PlannedStep, ...]


class ExerciseWhatIf(Struct, frozen=True):
    """What the answers lead to for one exercise; `ended` is None where the session ended before it."""

    title: str
    plan: Plan
    ended: Ended | None
    following: Following


def planned_session(today: TodaysSession, at: datetime) -> tuple[PlannedExercise, ...]:
    """Every exercise with its steps and their times since the start of the session."""
    session, start_s = planned_exercises(today.plans, at), 0.0
    planned, exercises = list[PlannedExercise](), session.exercises
    for title, one, after in zip(today.titles, exercises, (*exercises[1:], None), strict=True):
        steps = tuple(_steps(one, after, session.file, start_s))
        planned.append(PlannedExercise(title, one, start_s, steps))
        start_s += one.script.seconds
    return tuple(planned)


def _steps(
    one: RehearsedExercise, after: RehearsedExercise | None, session: SessionFile, start_s: float
) -> Iterator[PlannedStep]:
    for at_s, step in one.script.scheduled_steps():
        yield PlannedStep(start_s + at_s, step.name, tuple(_lines(step, one, after, session)))


def _lines(
    step: Step, one: RehearsedExercise, after: RehearsedExercise | None, session: SessionFile
) -> Iterator[str]:
    """The lines of a step; the page after an exercise and the rest before one say which the next one is."""
    messages, part = one.plan.content.messages.client.programme, one.record.part
    if isinstance(step, Rest) and step.name == step_names.BETWEEN:
        yield f"{fill(messages.rest, _what(one.plan))} {round(step.seconds)} s"
    elif step.name == step_names.CLOSING and after is not None:
        yield fill(messages.done_title, {"number": part + 1, "count": len(session.exercises)})
        yield fill(messages.next, _what(after.plan))
    elif step.name == step_names.CAUTIONS and part:
        yield from (messages.new_cautions, *cautions_before(one.plan, session, part).always)
    else:
        yield from step_lines(step, one.plan, one.record)


def _what(plan: Plan) -> dict[str, object]:
    what = exercise_line(plan.before.exercise, plan.profile.side, plan.content)
    return {"what": what, "grade": plan.step.grade}


def session_preview_text(today: TodaysSession, at: datetime) -> str:
    """For each exercise the decision that led to it and its script, with the start of each step in the session."""
    messages, planned = today.content.messages.therapist.preview, planned_session(today, at)
    lines = [fill(messages.title, {"profile": today.plans[0].profile.name}), ""]
    lines += [*no_session_lines(today.no_session), *condition_lines(today.plans[0], at)]
    lines += [line for said in (*today.in_turn, *today.not_today) for line in (*paragraph(said), "")]
    for number, one in enumerate(planned):
        plan, record = one.exercise.plan, one.exercise.record
        lines += [
            *heading(one.title)[0 if number else 1 :],
            *today_lines(plan, record),
            *decision_lines(plan.before.decision, plan),
            "",
        ]
        lines += [line for step in one.steps for line in timed_lines(step.start_s, step.lines)]
    lines += end_lines(today.content, sum(one.exercise.script.seconds for one in planned))
    return "\n".join(lines) + "\n"


def session_what_if(today: TodaysSession, answers: Answers, at: datetime) -> tuple[ExerciseWhatIf, ...]:
    """Rehearse the whole session with these answers, and compare what comes next of each exercise with today.

    Raises ValueError for an answer that a question does not take.
    """
    rehearsed = rehearse_exercises(today.plans, answers, at)
    ended = {one.plan.name: one.ended for one in rehearsed.exercises}
    found = list[ExerciseWhatIf]()
    for title, plan in zip(today.titles, today.plans, strict=True):
        after = plan.before
        for record in rehearsed.file.records:
            after = replay(after, record, plan.book).after
        found.append(ExerciseWhatIf(title, plan, ended.get(plan.name), following(plan, after, at)))
    return tuple(found)


def session_what_if_text(today: TodaysSession, answers: Answers, at: datetime) -> str:
    """For each exercise the decision, then both sessions side by side, at most 80 columns wide."""
    lines = [*no_session_lines(today.no_session), today.content.messages.therapist.preview.what_if]
    for number, one in enumerate(session_what_if(today, answers, at)):
        lines += [
            *heading(one.title)[1 if number else 0 :],
            *_decided(one),
            "",
            *following_lines(one.plan, one.following),
        ]
    return "\n".join(lines)


def _decided(one: ExerciseWhatIf) -> list[str]:
    if one.ended is not None:
        return decision_lines(one.ended.decision, one.plan)
    return paragraph(fill(one.plan.content.messages.client.programme.left_out, _what(one.plan)))
