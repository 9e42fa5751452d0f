"""The page that shows the right form beside one fault, both moving at the tempo of the programme."""

from collections.abc import Mapping

from coach.drawing.lesson import MOVED_ARMS, lesson_scene, seen_from_above
from coach.mechanics.setup import Setup
from coach.model.content_entries import WrongForm
from coach.model.messages.learning import LessonMessages
from coach.screens.client.page_types import FaultDrawing, LessonPage
from coach.session.phrases import how_to_tell
from coach.session.plan import Plan
from coach.session.script import Teach
from coach.session.state import State
from coach.session.tempo import SetTiming, moment_at

_ALL_DAY = 99  # repetitions: more than anybody watches
_IN_FRAMES = 40  # of the way of the hand; finer steps cannot be seen
# How far the hand is where a fault is seen best in a drawing that stands still: at the end, but for a band that is
# slack at the start. One of tempo has no such drawing.
_SEEN_BEST: Mapping[WrongForm, float] = {"band_slack": 0.0}
_ONLY_MOVING: tuple[WrongForm, ...] = ("too_fast",)


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
        right=messages.right_from_above if seen_from_above(setup, wrong) else messages.right,
        wrong=_title_of_wrong(wrong, messages),
        right_scene=lesson_scene(setup, side, shown, wrong, faulty=False),
        wrong_scene=None if wrong is None else lesson_scene(setup, side, other, wrong, faulty=True),
    )


def fault_drawing(question: str, plan: Plan, setup: Setup) -> FaultDrawing | None:
    """The fault that a form question asks about, standing still; None where only a movement shows it."""
    wrong = plan.content.questions[question].wrong
    if wrong is None or wrong in _ONLY_MOVING:
        return None
    scene = lesson_scene(setup, plan.profile.side, _SEEN_BEST.get(wrong, 1.0), wrong, faulty=True)
    return FaultDrawing(_title_of_wrong(wrong, plan.content.messages.client.lesson), scene)


def _title_of_wrong(wrong: WrongForm | None, messages: LessonMessages) -> str:
    return messages.wrong_beside if wrong in MOVED_ARMS else messages.wrong


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
