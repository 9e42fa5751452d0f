"""The load and the setup that a new client begins with, as one line."""

from coach.model.message_format import fill
from coach.model.messages.therapist import IntakeMessages
from coach.progression.decision_messages import load_placeholders
from coach.session.phrases import setup_of, setup_values
from coach.session.plan import Plan


def first_session_text(plan: Plan | None, messages: IntakeMessages) -> str:
    """The load and the setup of the first session, after why it may not start now; empty if there is no plan."""
    if plan is None:
        return ""
    values = {**setup_values(plan, setup_of(plan, plan.step)), **load_placeholders(plan.step, plan.content)}
    steps = {"steps": len(plan.ladder.steps), "position_deg": plan.before.position_deg}
    first = messages.first_underfoot if plan.step.underfoot else messages.first
    return f"{plan.no_session} {fill(first, {**values, **steps})}".strip()
