"""The load and the setup that a new client begins with, one line an exercise."""

from collections.abc import Sequence

from coach.model.message_format import fill
from coach.model.messages.therapist import IntakeMessages
from coach.progression.decision_messages import load_placeholders
from coach.session.phrases import exercise_line, setup_of, setup_values
from coach.session.plan import Plan


def first_sessions_text(plans: Sequence[Plan], messages: IntakeMessages) -> str:
    """The load and the setup of the first session of each exercise, one line each; empty without any."""
    if len(plans) == 1:
        return _first_session(plans[0], messages)
    titles = [exercise_line(plan.prescription.exercise, plan.profile.side, plan.content) for plan in plans]
    return "\n".join(f"{title}: {_first_session(plan, messages)}" for title, plan in zip(titles, plans, strict=True))


def _first_session(plan: Plan, messages: IntakeMessages) -> str:
    """The load and the setup, after why the session may not start now."""
    values = {**setup_values(plan, setup_of(plan, plan.step)), **load_placeholders(plan.step, plan.content)}
    steps = {
        "steps": len(plan.ladder.found),
        "position": plan.content.position_label(plan.position.name, plan.before.exercise),
    }
    first = messages.first_underfoot if plan.step.underfoot else messages.first
    return f"{plan.no_session} {fill(first, {**values, **steps})}".strip()
