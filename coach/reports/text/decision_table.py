"""The decision that each kind of session would lead to, from the client's current state."""

from datetime import datetime

from msgspec import Struct

from coach.model.message_format import fill
from coach.model.record import Decision
from coach.progression.decision_messages import load_placeholders, rule_label
from coach.reports.text.layout import columns, heading, paragraph
from coach.session.plan import Plan
from coach.session.rehearsal import rehearse
from coach.session.scenarios import scenarios


class DecisionRow(Struct, frozen=True):
    """One kind of session, by the name of its message, and the decision it leads to."""

    kind: str
    decision: Decision


def decision_table(plan: Plan, at: datetime) -> tuple[DecisionRow, ...]:
    """The decision after each kind of session that is possible today; each one is rehearsed in full."""
    return tuple(
        DecisionRow(kind, rehearse(plan, answers, at)[1].decision) for kind, answers in scenarios(plan).items()
    )


def decision_table_text(plan: Plan, at: datetime) -> str:
    """The table as text, at most 80 columns wide."""
    messages = plan.content.messages.therapist.decision_table
    rows, today = table_rows(plan, at), load_placeholders(plan.step, plan.content)
    lines = [*heading(fill(messages.title, {"profile": plan.profile.name})), *paragraph(fill(messages.how, today))]
    return "\n".join([*lines, "", *columns([messages.columns, *rows], messages.title, left=3)]) + "\n"


def table_rows(plan: Plan, at: datetime) -> list[list[str]]:
    """The rows of the table, one cell for each column."""
    messages = plan.content.messages.therapist.decision_table
    return [[messages.kind[row.kind], *_cells(row.decision, plan)] for row in decision_table(plan, at)]


def _cells(decision: Decision, plan: Plan) -> list[str]:
    """The cells of a decision: move, rule, load, repetitions and status."""
    messages = plan.content.messages
    load = load_placeholders(decision.load, plan.content)
    status = messages.therapist.decision_table.status[decision.status]
    return [
        messages.client.scale.move[decision.move],
        rule_label(decision.rule, plan.content),
        f"{load['mean']}",
        str(decision.repetitions),
        status,
    ]
