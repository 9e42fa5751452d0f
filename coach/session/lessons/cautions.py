"""The cautions before an exercise: what holds every time, what is known after the first time, and what is new."""

from collections.abc import Iterator, Mapping
from itertools import accumulate

from msgspec import Struct

from coach.model.message_format import fill
from coach.model.messages.client import CautionGroup
from coach.model.programme.session_file import SessionFile, SessionPart
from coach.model.record import Answered, SetDone
from coach.session.admission.client_conditions import cautions_of
from coach.session.lessons.limit_lines import limit_lines
from coach.session.plan import Plan


class Cautions(Struct, frozen=True):
    """The cautions by their kind, the most dangerous first.

    All but `at_first` are shown and said every time; those are shown every time, and said in the first session.
    """

    stop: tuple[str, ...]
    band: tuple[str, ...]
    exercise: tuple[str, ...]
    own: tuple[str, ...]
    at_first: tuple[str, ...] = ()

    @property
    def always(self) -> tuple[str, ...]:
        """What is said every time."""
        return (*self.stop, *self.band, *self.exercise, *self.own)

    def heads(self, words: Mapping[CautionGroup, str]) -> tuple[tuple[int, str], ...]:
        """What stands above each kind below `stop` and the first of `at_first`, with the number of its first line."""
        kinds = (self.band, self.exercise, self.own, self.at_first[1:])
        starts = accumulate(map(len, kinds), initial=0)
        heads = (words["band"], words["exercise"], words["own"], words["at_first"])
        return tuple((start, head) for start, head, kind in zip(starts, heads, kinds, strict=False) if kind)

    def __bool__(self) -> bool:
        return bool(self.always or self.at_first)


def cautions_before(plan: Plan, session: SessionFile | None = None, part: int = 0) -> Cautions:
    """The cautions of an exercise; after others of the same session, only those that were not shown before them."""
    safety = plan.content.messages.safety
    kinds = (
        _of_all(plan, safety.cautions_stop),
        _of_all(plan, safety.cautions),
        _of_position(plan, plan.before.exercise, plan.position.name),
        (*limit_lines(plan)[:1], *cautions_of(plan.profile, plan.content)),
    )
    if session is None or not part:
        return Cautions(*kinds, safety.cautions_at_first)
    shown = {line for one in session.exercises[:part] if _was_shown(session, one) for line in _of_part(plan, one)}
    return Cautions(*(tuple(line for line in kind if line not in shown) for kind in kinds))


def _was_shown(session: SessionFile, part: SessionPart) -> bool:
    """Whether the client came past the cautions of an exercise: something after them was done or answered."""
    if part.name == session.exercises[0].name:
        return True
    return any(one.exercise == part.name for one in session.entry if isinstance(one, Answered | SetDone))


def _of_part(plan: Plan, part: SessionPart) -> Iterator[str]:
    safety = plan.content.messages.safety
    yield from _of_all(plan, (*safety.cautions_stop, *safety.cautions))
    yield from _of_position(plan, part.exercise, part.position)
    if part.side == plan.profile.side:  # the conditions of the other side are not in this profile
        yield from cautions_of(plan.profile, plan.content)


def _of_all(plan: Plan, lines: tuple[str, ...]) -> tuple[str, ...]:
    """Cautions of every exercise, with the limit of pain that is this client's."""
    return tuple(fill(line, {"pain_max": plan.pain_limit}) for line in lines)


def _of_position(plan: Plan, exercise: str, position: str) -> tuple[str, ...]:
    return plan.content.messages.exercises[exercise].at(position).cautions
