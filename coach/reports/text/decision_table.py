"""For the therapist: what each kind of session would lead to next, from today's state, by the very runner."""

from dataclasses import dataclass
from datetime import datetime

from coach.model.message_format import fill
from coach.model.messages.decision_table import DecisionTableWords
from coach.model.record import Decision
from coach.progression.decision_messages import load_placeholders
from coach.reports.text.layout import columns, heading, paragraph
from coach.session.plan import Plan
from coach.session.rehearsal import rehearse
from coach.session.scenarios import kinds_of_session


@dataclass(frozen=True)
class Row:
    """One kind of session, by its name in the words of the table, and what it leads to."""

    kind: str
    decision: Decision


def decision_table(plan: Plan, at: datetime) -> tuple[Row, ...]:
    """Each kind of session rehearsed from where the client stands; kinds that cannot happen today are left out."""
    return tuple(
        Row(kind, rehearse(plan, answers, at)[1].decision) for kind, answers in kinds_of_session(plan).items()
    )


def decision_table_text(plan: Plan, at: datetime) -> str:
    """The table as text, at most 80 columns wide."""
    words = plan.content.words.of(DecisionTableWords)
    rows = table_rows(plan, at)
    lines = [*heading(fill(words.title, {"profile": plan.profile.name})), *paragraph(words.how)]
    return "\n".join([*lines, "", *columns([words.columns, *rows], words.title, left=3)]) + "\n"


def table_rows(plan: Plan, at: datetime) -> list[list[str]]:
    """The rows of the table, a cell for each of its columns."""
    words = plan.content.words.of(DecisionTableWords)
    return [[words.kind[row.kind], *_leads(row.decision, plan)] for row in decision_table(plan, at)]


def _leads(decision: Decision, plan: Plan) -> list[str]:
    """The move, the rule, the load, the repetitions: one cell each."""
    words = plan.content.words
    load = load_placeholders(decision.load, plan.content)
    status = words.of(DecisionTableWords).status[decision.status]
    return [
        words.screens.scale.move[decision.move],
        decision.rule,
        f"{load['mean']}",
        str(decision.repetitions),
        status,
    ]
