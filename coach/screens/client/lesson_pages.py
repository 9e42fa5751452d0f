"""The page that shows the right form beside one fault, both moving at the tempo of the programme."""

from collections.abc import Iterator, Mapping

from msgspec.structs import replace

from coach.drawing.lesson import MOVED_ARMS, LessonScenes, lesson_scene, lesson_viewpoint
from coach.drawing.projection import Viewpoint, seen
from coach.drawing.shapes import Scene
from coach.mechanics.setup import Setup
from coach.model.content_entries import WrongForm
from coach.model.message_format import fill
from coach.model.messages.learning import LessonMessages
from coach.model.option_names import TELL_BY
from coach.screens.client.page_types import Drawing, LessonPage
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


def lesson_page(state: State, lesson: Teach, scenes: LessonScenes, now_s: float) -> LessonPage:
    """The page at a moment, `now_s` on the session's clock."""
    plan, messages = state.plan, state.plan.content.messages.client.lesson
    texts, wrong = plan.content.messages.form.question[lesson.question], scenes.wrong
    elapsed_s = state.watch.elapsed_s(now_s)
    shown = _fraction(plan, elapsed_s, fast=False)
    other = _fraction(plan, elapsed_s, fast=wrong == "too_fast")
    again = lesson.fault in plan.before.taught.get(plan.before.exercise, ())
    seen_from = _seen(plan, scenes.setup, lesson_viewpoint(scenes.setup, wrong))
    values = {"about": texts.about, "seen": seen_from}
    return LessonPage(
        title=fill(messages.again_title if again else messages.title, values),
        lead=texts.teach,
        lines=(
            *(how_to_tell(lesson.question, plan, state.tell_by) if state.tell_by else _ways(lesson.question, plan)),
            *_about_trying(lesson, plan, messages),
        ),
        right=Drawing(fill(messages.right, values), scenes.scene(shown, faulty=False), _beside(messages.kept, wrong)),
        wrong=None if wrong is None else _wrong(wrong, scenes.scene(other, faulty=True), messages),
    )


def fault_drawing(question: str, plan: Plan, setup: Setup) -> Drawing | None:
    """The fault that a form question asks about, standing still; None where only a movement shows it."""
    wrong, messages = plan.content.questions[question].wrong, plan.content.messages.client.lesson
    if wrong is None or wrong in _ONLY_MOVING:
        return None
    scene = lesson_scene(setup, plan.profile.side, _SEEN_BEST.get(wrong, 1.0), wrong, faulty=True)
    drawing = _wrong(wrong, scene, messages)
    return replace(drawing, title=f"{drawing.title} · {_seen(plan, setup, lesson_viewpoint(setup, wrong))}")


def _seen(plan: Plan, setup: Setup, view: Viewpoint) -> str:
    return plan.content.messages.client.setup.seen[seen(setup, view)]


def _wrong(wrong: WrongForm, scene: Scene, messages: LessonMessages) -> Drawing:
    title = messages.wrong_beside if wrong in MOVED_ARMS else messages.wrong
    return Drawing(title, scene, _beside(messages.moved, wrong))


def _beside(words: Mapping[WrongForm, str], wrong: WrongForm | None) -> tuple[tuple[str, str], ...]:
    """The words beside the part that the fault is about."""
    return () if wrong is None else (("part", words[wrong]),)


def _ways(question: str, plan: Plan) -> Iterator[str]:
    """The numbers that choose a way to tell a fault, on one line; then how it is told in each way."""
    yield fill(plan.content.messages.client.lesson.tell_by, {way: number for number, way in enumerate(TELL_BY, 1)})
    yield from how_to_tell(question, plan)


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
