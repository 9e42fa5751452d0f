"""The fields of the form for a visit: what is measured, judged, seen, agreed and answered, in that order."""

from collections.abc import Iterator, Mapping, Sequence
from typing import get_args

from msgspec import Struct

from coach.model.base import Name, Side
from coach.model.caseload import Need
from coach.model.condition import ClientCondition, IrritabilityLevel
from coach.model.content import Content
from coach.model.exercise import coordinate_of
from coach.model.message_format import fill
from coach.model.messages.visits import VisitField, VisitMessages
from coach.model.option_names import ContactKind, Direction, DischargeReason, NeedOutcome
from coach.model.programme.visit_file import Goal
from coach.overview.visits.measured_again import DatedValue, MeasuredKind, Place
from coach.overview.visits.visit_summary import KIND_OF_FIELD, place_text, question_name, side_text
from coach.screens.widgets.form import Field
from coach.session.phrases import exercise_line
from coach.store.therapist.visit_values import Said

_MOST_GOALS = 4
_SHORT: frozenset[VisitField] = frozenset({"force_n", "lever_m", "pain", "goal_today", "goal_target", "initials"})


class TrainedExercise(Struct, frozen=True):
    """One exercise of the programme: its name there, its side, its positions, and what is asked of its form now."""

    name: Name
    exercise: Name
    side: Side
    places: tuple[tuple[Direction, str], ...]
    questions: tuple[Name, ...]


class VisitBasis(Struct, frozen=True):
    """What the form is made from: the exercises, what was measured before, goals, answers and needs as they stand.

    `levers` are those with which strength was measured last, by place.
    """

    exercises: tuple[TrainedExercise, ...]
    before: Mapping[tuple[MeasuredKind, Place], DatedValue]
    levers: Mapping[Place, float]
    goals: tuple[Goal, ...]
    said: Said
    needs: tuple[Need, ...]
    conditions: tuple[ClientCondition, ...]
    content: Content

    @property
    def messages(self) -> VisitMessages:
        """The messages of a visit."""
        return self.content.messages.therapist.visit

    def exercise_at(self, key: str) -> Name:
        """The exercise that a field is about; the first one for a field that is about none."""
        parts = key.split(".")
        for one in self.exercises:
            measured = parts[0] in ("ranges", "strengths") and parts[-2] == one.side
            if measured and (parts[1], ".".join(parts[2:-2])) in one.places:
                return one.name
            if parts[0] == "form" and parts[1] == one.name:
                return one.name
        return self.exercises[0].name


def visit_fields(basis: VisitBasis) -> tuple[Field, ...]:
    """Every field below its heading."""
    parts = (_measured, _judged, _form, _goals, _notes, _needs, _next, _discharge, _sign)
    return tuple(field for part in parts for field in part(basis))


def _ask(basis: VisitBasis, key: str, name: VisitField, how: str = "", typed: str = "", beside: str = "") -> Field:
    how = how or basis.messages.hint["text"]
    return Field(key, basis.messages.field[name], typed, how, beside, name in _SHORT)


def _choices(basis: VisitBasis, names: Sequence[str]) -> str:
    return fill(basis.messages.hint["choices"], {"choices": ", ".join(names)})


def _measured(basis: VisitBasis) -> Iterator[Field]:
    """Range and strength of each motion and position: on a trained side both, on the other one strength alone."""
    places = dict.fromkeys(place for one in basis.exercises for place in one.places)
    for direction, position in places:
        trained = [one.side for one in basis.exercises if (direction, position) in one.places]
        other: Side = "left" if trained[0] == "right" else "right"
        for side in dict.fromkeys((*trained, other)):
            yield from _of_place(basis, (position, direction, side), side in trained)


def _of_place(basis: VisitBasis, place: Place, is_trained: bool) -> Iterator[Field]:
    position, direction, side = place
    messages, where = basis.messages, f"{direction}.{position}.{side}"
    values = {"place": place_text(direction, position, basis.content), "side": side_text(side, basis.content)}
    yield Field("", fill(messages.heading["measured" if is_trained else "strength"], values))
    if is_trained:
        unit = {"unit": messages.unit[coordinate_of(direction)]}
        for name in ("active_deg", "passive_deg"):
            label = fill(messages.field["active_deg" if name == "active_deg" else "passive_deg"], unit)
            known = _known(basis, name, place)
            yield Field(f"ranges.{where}.{name}", label, "", known or messages.hint["never"], known, short=True)
    known = _known(basis, "force_n", place)
    yield _ask(basis, f"strengths.{where}.force_n", "force_n", known or messages.hint["never"], "", known)
    if coordinate_of(direction) == "angle":
        lever = basis.levers.get(place)
        typed = "" if lever is None else f"{lever:g}"
        yield _ask(basis, f"strengths.{where}.lever_m", "lever_m", messages.hint["lever"], typed)
    known = _known(basis, "pain", place)
    yield _ask(basis, f"strengths.{where}.pain", "pain", known or messages.hint["never"], "", known)


def _known(basis: VisitBasis, name: str, place: Place) -> str:
    """The value before and its day; a strength as it was read from the scale. Empty where there is none."""
    before = basis.before.get((KIND_OF_FIELD[name], place))
    if before is None:
        return ""
    value, lever = before.value, basis.levers.get(place)
    if name == "force_n" and lever is not None:
        value /= lever
    return fill(basis.messages.hint["before"], {"value": f"{value:.3g}", "day": before.on.isoformat()})


def _judged(basis: VisitBasis) -> Iterator[Field]:
    kinds = fill(basis.messages.hint["kinds"], {"kinds": ", ".join(basis.content.conditions)})
    yield Field("", basis.messages.heading["judged"])
    yield _ask(basis, "irritability", "irritability", _choices(basis, get_args(IrritabilityLevel)))
    yield _ask(basis, "condition.kind", "condition_kind", kinds)
    yield _ask(basis, "condition.on", "condition_on", basis.messages.hint["day"])
    yield _ask(basis, "condition.by", "condition_by")
    held = ", ".join(dict.fromkeys(one.with_day for one in basis.conditions))
    if held:
        yield _ask(basis, "condition_over", "condition_over", fill(basis.messages.hint["kinds"], {"kinds": held}))


def _form(basis: VisitBasis) -> Iterator[Field]:
    """Each form question of each exercise, beside what the client answered last."""
    messages, content = basis.messages, basis.content
    for one in basis.exercises:
        heading = {"exercise": exercise_line(one.exercise, one.side, content)}
        yield Field("", fill(messages.heading["form"], heading))
        for question in one.questions:
            said = basis.said.get((one.name, question))
            told = messages.form_agrees["unknown"] if said is None else messages.how_often[said]
            key = f"form.{one.name}.{question}"
            beside = "" if said is None else fill(messages.hint["client"], {"said": told})
            yield Field(
                key, question_name(question, content), "", fill(messages.hint["said"], {"said": told}), beside
            )


def _goals(basis: VisitBasis) -> Iterator[Field]:
    """The goals as they were set last, with what is measured today left open, and one more."""
    messages = basis.messages
    goals: list[Goal | None] = [*basis.goals, None]
    for number, goal in enumerate(goals[:_MOST_GOALS], 1):
        yield Field("", fill(messages.heading["goal"], {"number": number}))
        head, day = f"goals.{number}", messages.hint["day"]
        before = "" if goal is None or goal.today is None else f"{goal.today:g}"
        known = fill(messages.hint["before_goal"], {"value": before}) if before else ""
        yield _ask(basis, f"{head}.what", "goal_what", typed="" if goal is None else goal.what)
        yield _ask(basis, f"{head}.measure", "goal_measure", typed="" if goal is None else goal.measure)
        yield _ask(basis, f"{head}.today", "goal_today", known or messages.hint["never"], beside=known)
        target = "" if goal is None or goal.target is None else f"{goal.target:g}"
        yield _ask(basis, f"{head}.target", "goal_target", typed=target)
        yield _ask(basis, f"{head}.by", "goal_by", day, "" if goal is None else goal.by.isoformat())


def _notes(basis: VisitBasis) -> Iterator[Field]:
    yield Field("", basis.messages.heading["notes"])
    yield _ask(basis, "note", "note", basis.messages.hint["goes_home"])
    yield _ask(basis, "agreed", "agreed", basis.messages.hint["goes_home"])


def _needs(basis: VisitBasis) -> Iterator[Field]:
    """What the client needs the therapist for now, to be answered one by one."""
    messages, names = basis.messages, basis.content.messages.therapist.caseload.need
    for need in basis.needs:
        head = f"needs.{need.name}"
        yield Field("", fill(messages.heading["need"], {"need": names[need.name]}))
        yield _ask(basis, f"{head}.what", "need_what", messages.hint["goes_home"])
        yield _ask(basis, f"{head}.on", "need_on", messages.hint["day"])
        yield _ask(basis, f"{head}.how", "need_how", _choices(basis, get_args(NeedOutcome)))


def _next(basis: VisitBasis) -> Iterator[Field]:
    yield Field("", basis.messages.heading["next"])
    yield _ask(basis, "next_visit", "next_visit", basis.messages.hint["day"])


def _discharge(basis: VisitBasis) -> Iterator[Field]:
    yield Field("", basis.messages.heading["discharge"])
    yield _ask(basis, "discharge.reason", "discharge_reason", _choices(basis, get_args(DischargeReason)))
    yield _ask(basis, "discharge.what", "discharge_what", basis.messages.hint["goes_home"])


def _sign(basis: VisitBasis) -> Iterator[Field]:
    yield Field("", basis.messages.heading["sign"])
    yield _ask(basis, "kind", "kind", _choices(basis, get_args(ContactKind)), "visit")
    yield _ask(basis, "initials", "initials", basis.messages.hint["initials"])
