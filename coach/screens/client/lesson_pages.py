"""The page that shows the right form beside one fault, both moving at the tempo of the programme."""

from coach.drawing.lesson import MOVED_ARMS, lesson_scene
from coach.mechanics.setup import Setup
from coach.model.messages.learning import LessonMessages
from coach.screens.client.page_types import LessonPage
from coach.session.phrases import how_to_tell
from coach.session.plan import Plan
from coach.session.script import Teach
from coach.session.state import State
from coach.session.tempo import SetTiming, moment_at

_ALL_DAY = 99  # repetitions: more than anybody watches
_IN_FRAMES = 40  # of the way of the hand; finer steps cannot be seen


def lesson_page(state: State, lesson: Teach, setup: Setup, now_s: float) -> LessonPage:
    """The page at a moment, `now_s` on the session's clock."""
    plan, messages = state.plan, state.plan.content.messages.client.lesson
    question = plan.content.questions[lesson.question]
    texts = plan.content.messages.form.question[lesson.question]
    elapsed_s, side, wrong = state.watch.elapsed_s(now_s), plan.profile.side, question.wrong
    shown = _fraction(plan, elapsed_s, fast=False)
    other = _fraction(plan, elapsed_s, fast=wrong == "too_fast")
    again = lesson.fault in plan.before.taught.get(plan.before.exercise, ())
    return LessonPage(
        title=messages.again_title if again else messages.title,
        lead=texts.teach,
        lines=(
            *how_to_tell(lesson.question, plan, state.tell_by),
            *_about_trying(lesson, plan, messages),
            *(() if state.tell_by else (messages.tell_by,)),
        ),
        right=messages.right,
        wrong=messages.wrong_beside if wrong in MOVED_ARMS else messages.wrong,
        right_scene=lesson_scene(setup, side, shown, wrong, faulty=False),
        wrong_scene=None if wrong is None else lesson_scene(setup, side, other, wrong, faulty=True),
    )


def _about_trying(lesson: Teach, plan: Plan, messages: LessonMessages) -> tuple[str, ...]:
    """How to try the fault where that is harmless, else that it is not tried."""
    how = plan.content.messages.form.question[lesson.question].try_it
    return (how,) if lesson.tried and how is not None else (messages.not_tried,)


def _fraction(plan: Plan, elapsed_s: float, fast: bool) -> float:
    """Where the hand is, 0 to 1; fast: it is let back in a second and waits for the rest of the way."""
    tempo = plan.prescription.dose.tempo
    moment = moment_at(SetTiming(0.0, _ALL_DAY, tempo), elapsed_s)
    part = moment.arc_fraction
    if fast and moment.phase == "back":
        part = max(0.0, 1.0 - moment.elapsed_s)
    return round(part * _IN_FRAMES) / _IN_FRAMES
