"""What the pages of one load step share: its setup, and the drawings of the arm, made when one is asked for."""

from functools import cached_property
from typing import TYPE_CHECKING

from msgspec import Struct

from coach.mechanics.setup import Setup
from coach.model.content_entries import WrongForm
from coach.model.record import Record
from coach.session.phrases import setup_of, setup_values
from coach.session.plan import Plan
from coach.session.state import State

if TYPE_CHECKING:
    from coach.drawing.lesson import LessonScenes
    from coach.drawing.projection import Viewpoint
    from coach.drawing.shapes import Scene

# Of the arc. A way out of three seconds has so many frames; on a slower one the arm moves as smoothly with them.
PLACES = 60


class SetupContext(Struct, frozen=True, dict=True):
    """What the pages of one load step share, computed once instead of at every frame."""

    plan: Plan
    setup: Setup

    def arm_at(self, part: float) -> "Scene":
        """The arm at a part of its arc, 0 to 1, in steps too small to be seen; all repetitions have the same ones."""
        from coach.drawing.moving_arm import arm_scene

        place = round(part * PLACES)
        if place not in self._arms:
            start, end = self.setup.arc.q[0], self.setup.arc.q[-1]
            q = start + (end - start) * place / PLACES
            self._arms[place] = arm_scene(self.setup, self.plan.profile.side, q, self.view)
        return self._arms[place]

    def lesson(self, question: str) -> "LessonScenes":
        """The drawings of the fault that a question is about."""
        from coach.drawing.lesson import LessonScenes

        wrong = self.plan.content.questions[question].wrong
        if wrong not in self._lessons:
            self._lessons[wrong] = LessonScenes(self.setup, self.plan.profile.side, wrong)
        return self._lessons[wrong]

    @cached_property
    def _lessons(self) -> dict[WrongForm | None, "LessonScenes"]:
        return {}

    @cached_property
    def view(self) -> "Viewpoint":
        """The viewpoint of the moving arm."""
        from coach.drawing.moving_arm import best_viewpoint

        return best_viewpoint(self.setup)

    @cached_property
    def _arms(self) -> dict[int, "Scene"]:
        return {}

    @property
    def values(self) -> dict[str, object]:
        """The values to fill into lines about the setup."""
        return setup_values(self.plan, self.setup)


def setup_context(plan: Plan, record: Record) -> SetupContext:
    """The context of the load step in use."""
    return SetupContext(plan, setup_of(plan, record.current_rungs.step))


class SetupCache:
    """The context of each load step of a session, computed on first use."""

    def __init__(self) -> None:
        self._known: list[SetupContext] = []

    def of(self, state: State) -> SetupContext:
        """The context of the load step in use in a state."""
        wanted = (state.record.current_rungs.step, state.plan)
        known = next((one for one in self._known if (one.setup.step, one.plan) == wanted), None)
        if known is None:
            known = setup_context(state.plan, state.record)
            self._known.append(known)
        return known
