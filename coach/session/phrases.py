"""What a step says in the client's language: the same words for the screens, the plain mode and the preview."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from coach.mechanics.body import body_of
from coach.mechanics.setup import Setup, setup_for
from coach.model import step_names
from coach.model.content import Content
from coach.model.content_entries import Urgency
from coach.model.load_step import LoadStep
from coach.model.message_format import fill
from coach.model.messages.entries import PositionWords
from coach.model.record import Decision
from coach.progression.decision_messages import load_placeholders
from coach.session.client_conditions import cautions_of
from coach.session.plan import Plan
from coach.session.script import Ask


@dataclass(frozen=True)
class Said:
    """A question in words: above it, the question, how to tell, and the ends of its scale."""

    title: str
    ask: str
    how_to_tell: tuple[str, ...] = ()
    low: str | None = None
    high: str | None = None


def position_words(plan: Plan) -> PositionWords:
    """The words of today's position."""
    return plan.content.words.exercises[plan.before.exercise].at(plan.before.position_deg)


def cautions(plan: Plan) -> tuple[str, ...]:
    """What to take care of: said before every session, then in today's position."""
    own = cautions_of(plan.profile, plan.content)
    return (*plan.content.words.safety.cautions, *position_words(plan).cautions, *own)


def setup_of(plan: Plan, load: LoadStep) -> Setup:
    """The setup of a load step for this client."""
    return setup_for(plan.profile, plan.prescription, plan.position, load, plan.limits)


def setup_values(plan: Plan, setup: Setup) -> dict[str, object]:
    """The places of a line about the setup."""
    looks = {band.name: band.looks for band in plan.profile.bands}
    sides = plan.content.words.screens.setup.side
    return {
        **load_placeholders(setup.step, plan.content),
        "band": looks[setup.step.grade],
        "feet": f"{setup.distance_feet:.1f}",
        "anchor_height_cm": setup.anchor_height_cm,
        "landmark": plan.content.words.rules.landmark[setup.landmark],
        "turn": round(setup.body_turn_deg),
        "side": sides[plan.profile.side],
        "other_side": sides["left" if plan.profile.side == "right" else "right"],
    }


def said(question: Ask, plan: Plan) -> Said:
    """The words of a question."""
    words, screens = plan.content.words, plan.content.words.screens
    if question.group == step_names.CHECK:
        return Said(screens.setup.check_title, words.safety.check[question.question].ask)
    if question.question in words.form.question:
        form = words.form.question[question.question]
        title = fill(screens.question[step_names.PAIN].title, {"set": question.set_number})
        values = {"hand_breadth_cm": _lost_cm(plan)}
        return Said(title, fill(form.ask, values), tuple(fill(line, values) for line in form.how_to_tell))
    own = screens.question[question.question]
    if question.question == step_names.ACTIVITY:
        asked = plan.prescription.activities[step_names.activity_number(question.name) - 1]
        return Said(own.title, fill(own.ask, {"activity": asked}), own.how_to_tell, own.low, own.high)
    title = fill(own.title, {"set": question.set_number})
    ask = f"{own.ask} {_what_counts(plan)}" if question.name == step_names.SETS_TODAY else own.ask
    return Said(title, ask, own.how_to_tell, own.low, own.high)


def _what_counts(plan: Plan) -> str:
    """Which short session the prescription allows."""
    words, dose = plan.content.words.screens.instead, plan.prescription.dose
    return fill(words.least_counts, {"least": dose.sets_least}) if dose.sets_least else words.none_missing


def option(question: Ask, value: int | str, plan: Plan) -> str:
    """An answer to this question in words."""
    words = plan.content.words.screens.instead
    if question.name == step_names.OTHER_BAND:
        looks = {band.name: band.looks for band in plan.profile.bands}
        return fill(words.band, {"grade": value, "looks": looks[str(value)]})
    if question.name == step_names.SETS_TODAY and value == plan.prescription.dose.sets:
        return fill(words.all_count, {"sets": value})
    return label(value, plan.content)


def label(value: int | str, content: Content) -> str:
    """An answer in words, where it is the same for every client."""
    words = content.words
    scale: Mapping[str, str] = words.screens.scale.model_dump()
    reasons: Mapping[str, str] = {str(reason): said for reason, said in words.screens.instead.reason.items()}
    check_in = words.screens.check_in
    asked = {**check_in.settled, **check_in.gap, **check_in.night, **check_in.relief}
    safety = {**words.safety.sign, **words.safety.trouble, **words.safety.region}
    return {**asked, **safety, **reasons, **scale}.get(str(value), str(value))


def what_to_do(decision: Decision, content: Content) -> str:
    """Whom to see and how soon, where a warning sign was named or could not be ruled out; else nothing."""
    named = decision.numbers.get("sign")
    if named is None:
        return ""
    urgency: Urgency = next((sign.urgency for sign in content.signs if sign.name == named), "therapist")
    return content.words.safety.urgency[urgency]


def _lost_cm(plan: Plan) -> int:
    """How far short the hand stays when the end range is lost: an arc at the client's own lever."""
    return round(math.radians(plan.limits["range_lost_deg"]) * body_of(plan.profile).grip_lever_m * 100)
