"""The load ladder as text: the steps around the one of now, or all of them."""

from coach.model.load_step import LoadStep
from coach.model.message_format import fill
from coach.model.messages.setup_report import SetupReportWords
from coach.progression.decision_messages import load_placeholders
from coach.reports.text.layout import columns, heading, nm, paragraph, percent, row
from coach.session.plan import Plan

_AROUND = 4


def ladder_lines(plan: Plan, whole: bool) -> list[str]:
    """Each step with its torques and the rise to the next line."""
    words = plan.content.words.of(SetupReportWords)
    steps = plan.ladder.steps
    first, last = (0, len(steps) - 1) if whole else _shown(plan)
    cells = [("", *words.ladder_columns)]
    cells += [_cells(plan, index) for index in range(first, last + 1)]
    title = fill(words.ladder_title, {"first": first + 1, "last": last + 1, "steps": len(steps)})
    return [*heading(title), *columns(cells, words.ladder_title, left=3), "", *paragraph(words.ladder_part)]


def _shown(plan: Plan) -> tuple[int, int]:
    """The first and the last step shown: some on either side, and both neighbours of the progression in any case."""
    steps, rungs = plan.ladder.steps, plan.rungs(plan.step)
    here = [steps.index(step) for step in (plan.step, rungs.easier, rungs.next_step) if step is not None]
    return max(min(*here, here[0] - _AROUND), 0), min(max(*here, here[0] + _AROUND), len(steps) - 1)


def _cells(plan: Plan, index: int) -> tuple[str, ...]:
    steps = plan.ladder.steps
    step = steps[index]
    values = load_placeholders(step, plan.content)
    rise = f"{percent(_rise(step, steps[index + 1]), '+')} %" if index + 1 < len(steps) else "-"
    mark = ">" if step == plan.step else ""
    return (
        mark,
        step.grade,
        str(values["strands"]),
        f"{step.distance_cm} cm",
        nm(step.mean_nm),
        nm(step.peak_nm),
        rise,
    )


def _rise(step: LoadStep, other: LoadStep) -> float:
    return other.mean_nm / step.mean_nm - 1 if step.mean_nm else 0.0


def next_lines(plan: Plan) -> list[str]:
    """The step that the progression would take, and whether the repetitions begin again."""
    words = plan.content.words.of(SetupReportWords)
    following = plan.rungs(plan.step).next_step
    if following is None:
        return row(words.next, words.curve_none["harder"])
    rise, limit = _rise(plan.step, following), plan.limits["load_rise_max"]
    values = {**load_placeholders(following, plan.content), "rise": f"{rise * 100:.1f}", "limit": percent(limit)}
    return row(words.next, fill(words.next_large if rise > limit else words.next_small, values))
