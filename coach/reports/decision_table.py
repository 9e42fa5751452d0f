"""For the therapist: what each kind of session would lead to next, from today's state, by the very runner."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from coach.model import step_names
from coach.model.answers import Answers
from coach.model.base import fill
from coach.model.page_words.decision_table import DecisionTableWords
from coach.model.record import Decision
from coach.progression.sentences import load_values
from coach.reports.layout import columns, heading, paragraph
from coach.session.plan import Plan
from coach.session.rehearsal import rehearse


@dataclass(frozen=True)
class Row:
    """One kind of session, by its name in the words of the table, and what it leads to."""

    kind: str
    decision: Decision


def decision_table(plan: Plan, at: datetime) -> tuple[Row, ...]:
    """Each kind of session rehearsed from where the client stands; kinds that cannot happen today are left out."""
    return tuple(Row(kind, rehearse(plan, answers, at)[1].decision) for kind, answers in _kinds(plan).items())


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
    load = load_values(decision.load, plan.content)
    status = words.of(DecisionTableWords).status[decision.status]
    return [
        words.screens.scale.move[decision.move],
        decision.rule,
        f"{load['mean']}",
        str(decision.repetitions),
        status,
    ]


def _kinds(plan: Plan) -> dict[str, Answers]:
    """The kinds of sessions, as answers that differ from a clean session without pain."""
    limit, dose = round(plan.limits["pain_max"]), plan.prescription.dose
    before, asked = plan.before.pain_before_last, plan.position.questions
    heavy = next((plan.content.questions[name] for name in asked if plan.content.questions[name].follow_up), None)
    kinds: dict[str, Mapping[str, int | str]] = {
        "clean": {},
        "no_two_more": {step_names.TWO_MORE: "no"},
        "not_sure": {step_names.in_set(1, asked[0]): "not_sure"} if asked else {},
    }
    if heavy is not None and heavy.follow_up is not None:
        fault = step_names.in_set(1, heavy.name)
        often = step_names.in_set(1, heavy.follow_up)
        kinds["fault_once"] = {fault: heavy.fault_answer, often: "no"}
        kinds["too_heavy"] = {fault: heavy.fault_answer, often: "yes"}
    kinds["pain_at_limit"] = {step_names.in_set(1, step_names.PAIN): limit}
    kinds["pain_over_limit"] = {step_names.in_set(1, step_names.PAIN): limit + 1}
    if before is not None and before < limit:
        kinds["not_settled"] = {step_names.PAIN_NOW: before + 1}
    kinds["warning_sign"] = {step_names.SIGN: plan.content.signs[0].name}
    kinds["band_not_sound"] = {step_names.check(name): "no" for name in plan.book.stopping_checks}
    table = {kind: Answers(answer=dict(answers)) for kind, answers in kinds.items()}
    if dose.repetitions_min > 1:
        table["under_bottom"] = Answers(repetitions={str(dose.sets): dose.repetitions_min - 1})
    return table
