"""What a new client begins with, in one breath."""

from coach.model.message_format import fill
from coach.model.messages.intake import IntakeWords
from coach.progression.decision_messages import load_placeholders
from coach.session.phrases import setup_of, setup_values
from coach.session.plan import Plan


def first_session(plan: Plan | None, words: IntakeWords) -> str:
    """The load and the setup of the first session; empty where there is no plan."""
    if plan is None:
        return ""
    values = {**setup_values(plan, setup_of(plan, plan.step)), **load_placeholders(plan.step, plan.content)}
    steps = {"steps": len(plan.ladder.steps), "position_deg": plan.before.position_deg}
    return fill(words.first, {**values, **steps})
