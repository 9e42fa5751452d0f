"""The texts of a session in the client's language, shared by the screens, the plain mode and the reports."""

import math
from collections.abc import Mapping
from typing import Any

from msgspec import Struct

from coach.mechanics.body import body_of
from coach.mechanics.setup import Setup, setup_for
from coach.model import step_names
from coach.model.base import Side
from coach.model.content import Content
from coach.model.content_entries import Urgency
from coach.model.load_step import LoadStep
from coach.model.message_format import fill, sentences
from coach.model.messages.client import SetMessages
from coach.model.messages.entries import PositionMessages
from coach.model.option_names import TellBy
from coach.model.prescription import Tempo
from coach.model.profile import TrainingPlan
from coach.model.record import Decision, Ended
from coach.progression.decision_messages import load_placeholders, rule_label
from coach.session.lessons.cautions import cautions_before
from coach.session.lessons.limit_lines import limit_lines
from coach.session.plan import Plan
from coach.session.script import Ask

# Questions whose title is the name of a set. Those of the pain key say what to do, in a sentence.
_NAMED_BY_SET = (step_names.PAIN, step_names.EFFORT, step_names.TWO_MORE, step_names.SKIP)


class QuestionText(Struct, frozen=True):
    """A question as text: its title, the question, how to tell, and the labels of the ends of its scale."""

    title: str
    ask: str
    how_to_tell: tuple[str, ...] = ()
    low: str | None = None
    high: str | None = None


class StepText(Struct, frozen=True):
    """A step that is read as text: its title and its lines."""

    title: str
    lines: tuple[str, ...]


def step_text(name: str, plan: Plan, values: Mapping[str, object]) -> StepText:
    """The text of the step of this name that is read; `values` are those of `setup_values`."""
    screens, messages = plan.content.messages.client, position_messages(plan)
    title, lines = {
        step_names.TODAY: (screens.today.title, (messages.purpose, messages.why_here)),
        step_names.CAUTIONS: (screens.today.cautions_title, _all_cautions(plan)),
        step_names.WARM_UP: (screens.setup.warm_up_title, messages.warm_up),
        step_names.PLACE: (screens.setup.place_title, place_lines(plan, values)),
        step_names.ARM: (screens.setup.arm_title, messages.arm),
        step_names.REACH: (screens.setup.reach_title, _reach_lines(plan)),
        step_names.CLOSING: (screens.end.title, ()),
    }[name]
    placeholders = {**values, "position": messages.title}
    return StepText(fill(title, placeholders), tuple(fill(line, placeholders) for line in lines))


def _reach_lines(plan: Plan) -> tuple[str, ...]:
    """How the client finds their line; a limit stands before and after how far it goes easily."""
    where, still = limit_lines(plan) or ("", "")
    lines = (where, *sentences(position_messages(plan).reach), still)
    return tuple(line for line in lines if line)


def place_lines(plan: Plan, values: Mapping[str, object]) -> tuple[str, ...]:
    """The lines on anchor, floor mark and body turn, to be filled in; a turn of 0 degrees is to face the anchor."""
    facing = plan.content.messages.client.setup.no_turn
    lines = position_messages(plan).place
    return lines if values["turn"] else tuple(facing if "{turn}" in line else line for line in lines)


def position_messages(plan: Plan) -> PositionMessages:
    """The messages of today's position."""
    return plan.content.messages.exercises[plan.before.exercise].at(plan.position.name)


def _all_cautions(plan: Plan) -> tuple[str, ...]:
    """All cautions of an exercise in their order on the page: the first is above the others."""
    found = cautions_before(plan)
    return (*found.at_first[:1], *found.always, *found.at_first[1:])


def setup_of(plan: Plan, load: LoadStep) -> Setup:
    """The setup of a load step for this client."""
    return setup_for(plan.profile, plan.prescription, plan.position, load, plan.limits)


def setup_values(plan: Plan, setup: Setup) -> dict[str, object]:
    """The values for the placeholders of a message about the setup."""
    looks = {band.name: band.looks for band in plan.profile.bands}
    sides = plan.content.messages.client.setup.side
    return {
        **load_placeholders(setup.step, plan.content),
        "band": looks[setup.step.grade],
        "underfoot_cm": setup.distance_cm,
        "feet": f"{setup.distance_feet:.1f}",
        "anchor_height_cm": setup.anchor_height_cm,
        "landmark": plan.content.messages.rules.landmark[setup.landmark],
        "turn": round(setup.body_turn_deg),
        "lengths": setup.step.strands,
        "gap_cm": f"{plan.position.elbow_gap_cm:g}",
        "side": sides[plan.profile.side],
        "other_side": sides["left" if plan.profile.side == "right" else "right"],
    }


def drawing_labels(content: Content, values: Mapping[str, object]) -> tuple[tuple[str, str], ...]:
    """The text of each label in a drawing of the setup, by the label's name; `values` are those of `setup_values`."""
    return tuple((name, fill(text, values)) for name, text in content.messages.client.drawing.items())


def exercise_line(exercise: str, side: Side, content: Content) -> str:
    """An exercise and its side in a few words."""
    messages = content.messages
    values = {"exercise": messages.exercises[exercise].title, "side": messages.client.setup.side[side]}
    return fill(messages.client.programme.exercise, values)


def question_text(question: Ask, plan: Plan, tell_by: TellBy | None = None) -> QuestionText:
    """A question of this plan as text. `tell_by`: how the client tells what the form was; None where not chosen."""
    messages, screens = plan.content.messages, plan.content.messages.client
    if question.group == step_names.CHECK:
        again = fill(screens.setup.check_again_title, {"set": question.before_set})
        title = again if question.before_set else screens.setup.check_title
        return QuestionText(title, messages.safety.check[question.question].ask)
    if question.question in messages.form.question:
        title = _of_side(fill(screens.question[step_names.PAIN].title, {"set": question.set_number}), plan)
        ask = fill(messages.form.question[question.question].ask, form_values(plan))
        return QuestionText(title, ask, how_to_tell(question.question, plan, tell_by))
    own = screens.question[question.question]
    if question.question == step_names.ACTIVITY:
        asked = plan.prescription.activities[step_names.activity_number(question.name) - 1]
        return QuestionText(own.title, fill(own.ask, {"activity": asked}), (), own.low, own.high)
    title = fill(by_hold(plan, own.title, own.title_underfoot or own.title), {"set": question.set_number})
    if question.question in _NAMED_BY_SET:
        title = _of_side(title, plan)
    ask = own.ask_both if plan.both_sides and own.ask_both is not None else own.ask
    if question.name == step_names.SETS_TODAY:
        ask = f"{ask} {_what_counts(plan)}"
    return QuestionText(title, ask, (), own.low, own.high)


def _of_side(title: str, plan: Plan) -> str:
    """The title of a question after a set, with the side that did it where both shoulders are trained."""
    messages = plan.content.messages.client
    values = {"exercise": title, "side": messages.setup.side[plan.profile.side]}
    return fill(messages.programme.exercise, values) if plan.both_sides else title


def how_to_tell(question: str, plan: Plan, tell_by: TellBy | None = None) -> tuple[str, ...]:
    """How the client can tell what a form question asks: in the way that they chose, where the question has it."""
    form, labels = plan.content.messages.form.question[question], plan.content.messages.client.lesson.by
    ways = form.tell_by
    if tell_by in ways:
        ways = {tell_by: ways[tell_by]}
    elif tell_by is not None and form.how_to_tell:
        ways = {}
    lines = (*(f"{labels[way]}: {line}" for way, line in ways.items()), *form.how_to_tell)
    return tuple(fill(line, form_values(plan)) for line in lines)


def about_text(question: Ask, plan: Plan) -> str:
    """What a question is about in a few words, to read its answer back."""
    messages = plan.content.messages
    if question.group == step_names.CHECK:
        return messages.safety.check[question.question].about
    if question.question in messages.form.question:
        return messages.form.question[question.question].about
    about = messages.client.question[question.question].about
    if question.question != step_names.ACTIVITY:
        return about
    return fill(about, {"activity": plan.prescription.activities[step_names.activity_number(question.name) - 1]})


def _what_counts(plan: Plan) -> str:
    """Whether the prescription lets a shorter session count."""
    messages, dose = plan.content.messages.client.instead, plan.prescription.dose
    return fill(messages.least_counts, {"least": dose.sets_least}) if dose.sets_least else messages.none_missing


def option_text(question: Ask, value: int | str, plan: Plan) -> str:
    """An answer to this question as text."""
    messages = plan.content.messages.client.instead
    if question.name == step_names.OTHER_BAND:
        looks = {band.name: band.looks for band in plan.profile.bands}
        return fill(messages.band, {"grade": value, "looks": looks[str(value)]})
    if question.name == step_names.SETS_TODAY and value == plan.prescription.dose.sets:
        return fill(messages.all_count, {"sets": value})
    return answer_text(value, plan.content)


def answer_text(value: int | str, content: Content) -> str:
    """An answer as text, for answers that read the same for every client."""
    messages = content.messages
    scale: Mapping[str, str] = messages.client.scale.model_dump()
    reasons: Mapping[str, str] = {
        str(reason): question_text for reason, question_text in messages.client.instead.reason.items()
    }
    check_in = messages.client.check_in
    kinds: tuple[Mapping[Any, str], ...] = (
        *(check_in.settled, check_in.gap, check_in.night, check_in.relief),
        check_in.tell_by,
    )
    asked = {str(name): text for kind in kinds for name, text in kind.items()}
    safety = {**messages.safety.sign, **messages.safety.trouble, **messages.safety.region}
    return {**asked, **safety, **reasons, **scale}.get(str(value), str(value))


def urgency_text(decision: Decision, content: Content) -> str:
    """Whom to see and how soon if a warning sign was reported or could not be ruled out; else empty."""
    named = decision.numbers.get("sign")
    if named is None:
        return ""
    return urgency_of(str(named), content)


def urgency_of(named: str, content: Content) -> str:
    """Whom to see and how soon because of the warning sign of this name, or because none could be ruled out."""
    urgency: Urgency = next((sign.urgency for sign in content.signs if sign.name == named), "therapist")
    return content.messages.safety.urgency[urgency]


def why_line(plan: Plan, ended: Ended) -> str:
    """The rule of the decision in words, with its source."""
    values = {"rule": rule_label(ended.decision.rule, plan.content), "source": ended.decision.source}
    return fill(plan.content.messages.client.end.rule, values)


def plan_line(plan: TrainingPlan | None, content: Content) -> str:
    """The client's own plan in one sentence each, in their words; empty where there is none."""
    if plan is None:
        return ""
    messages = content.messages.client.plan
    said = (
        (messages.when_line, "when", plan.when),
        (messages.where_line, "where", plan.where),
        (messages.if_not_line, "if_not", plan.if_not),
    )
    return " ".join(fill(line, {name: text}) for line, name, text in said if text is not None)


def form_values(plan: Plan) -> dict[str, object]:
    """The values for the placeholders of a message about form."""
    return {"hand_breadth_cm": _lost_cm(plan)}


def _lost_cm(plan: Plan) -> int:
    """How far short the hand stops when the end range is lost, in centimetres along the way of this client's hand."""
    if not plan.position.rotates:
        return round(plan.limits["range_lost_cm"])
    return round(math.radians(plan.limits["range_lost_deg"]) * body_of(plan.profile).grip_lever_m * 100)


def set_messages(content: Content, exercise: str) -> SetMessages:
    """The messages of the set screen, with the exercise's own word for the concentric phase."""
    messages, out = content.messages.client.set, content.messages.exercises[exercise].out
    return messages if out is None else messages.model_copy(update={"out": out})


def by_hold(plan: Plan, anchored: str, underfoot: str) -> str:
    """The first message where the band is fixed to an anchor, the second where the client stands on it."""
    return underfoot if plan.position.anchor == "foot" else anchored


def hurts_line(plan: Plan) -> str:
    """What to do if it hurts in a set, where the keyboard is out of reach."""
    messages = plan.content.messages.client.voice
    return by_hold(plan, messages.hurts, messages.hurts_underfoot)


def stops_line(plan: Plan, key: str) -> str:
    """The same with the key that stops the counting."""
    messages = plan.content.messages.client.set
    return fill(by_hold(plan, messages.stops, messages.stops_underfoot), {"key": key, "limit": plan.pain_limit})


def tempo_values(content: Content, exercise: str, tempo: Tempo) -> dict[str, object]:
    """The values for a message about the tempo: the seconds of each phase, and the word for the concentric one."""
    seconds = {name.removesuffix("_s"): f"{value:g}" for name, value in tempo.model_dump().items()}
    return {**seconds, "out_word": set_messages(content, exercise).out}
