"""The load ladder as text: the steps around the one of now, or all of them."""

from coach.model.load_step import LoadStep, Rungs
from coach.model.message_format import fill
from coach.progression.decision_messages import load_placeholders
from coach.reports.text.layout import columns, heading, nm, paragraph, percent, row
from coach.session.plan import Plan

_AROUND = 4


def ladder_lines(plan: Plan, whole: bool) -> list[str]:
    """Each step with its torques and the rise to the next line."""
    messages = plan.content.messages.therapist.setup_report
    steps = plan.ladder.steps
    first, last = (0, len(steps) - 1) if whole else _shown(plan)
    cells = [("", *messages.ladder_columns)]
    cells += [_cells(plan, index) for index in range(first, last + 1)]
    title = fill(messages.ladder_title, {"first": first + 1, "last": last + 1, "steps": len(steps)})
    return [*heading(title), *columns(cells, messages.ladder_title, left=3), "", *paragraph(messages.ladder_part)]


def _shown(plan: Plan) -> tuple[int, int]:
    """The first and the last step shown: some on either side, and both neighbours of the progression in any case."""
    steps, rungs = plan.ladder.steps, plan.rungs(plan.step)
    here = [steps.index(step) for step in (plan.step, rungs.easier, rungs.next_step) if step is not None]
    return max(min(*here, here[0] - _AROUND), 0), min(max(*here, here[0] + _AROUND), len(steps) - 1)


def _cells(plan: Plan, index: int) -> tuple[str, ...]:
    steps = plan.ladder.steps
    step = steps[index]
    values = load_placeholders(step, plan.content)
    rise = chance = "-"
    if index + 1 < len(steps):
        after = steps[index + 1]
        rise = f"{percent(_rise(step, after), '+')} %"
        chance = in_hundred(plan.ladder.comparison.chance_heavier(after, step))
    mark = ">" if step == plan.step else ""
    return (
        mark,
        step.grade,
        str(values["strands"]),
        f"{step.distance_cm} cm",
        nm(step.mean_nm),
        interval_text(step),
        nm(step.peak_nm),
        rise,
        chance,
    )


def _rise(step: LoadStep, other: LoadStep) -> float:
    return other.mean_nm / step.mean_nm - 1 if step.mean_nm else 0.0


def next_lines(plan: Plan) -> list[str]:
    """The steps that the progression would take, how surely, and why there is none where there is none."""
    messages, rungs = plan.content.messages.therapist.setup_report, plan.rungs(plan.step)
    lines = row(messages.next, _next_text(plan, rungs))
    if rungs.next_largest is not None:
        lines += row("", _neighbour(plan, messages.next_light, rungs.next_largest, rungs.next_largest_chance))
    if rungs.offered is not None:
        lines += row("", _neighbour(plan, messages.next_offered, rungs.offered, None))
    if rungs.easier is not None:
        values = _neighbour_values(plan, rungs.easier, rungs.easier_chance)
        values["rise"] = percent(1 + _rise(plan.step, rungs.easier))
        lines += row(messages.easier, fill(messages.easier_value, values))
    return lines


def _next_text(plan: Plan, rungs: Rungs) -> str:
    messages = plan.content.messages.therapist.setup_report
    if rungs.next_step is not None:
        return _neighbour(plan, messages.next_small, rungs.next_step, rungs.next_chance)
    return fill(messages.next_none[rungs.no_next or "top"], {"limit": percent(plan.limits["load_rise_max"])})


def _neighbour(plan: Plan, message: str, step: LoadStep, chance: float | None) -> str:
    return fill(message, _neighbour_values(plan, step, chance))


def _neighbour_values(plan: Plan, step: LoadStep, chance: float | None) -> dict[str, object]:
    rise = f"{_rise(plan.step, step) * 100:.1f}"
    return {**load_placeholders(step, plan.content), "rise": rise, "chance": in_hundred(chance or 0.0)}


def interval_text(step: LoadStep) -> str:
    """The 5 to 95 % interval of a mean torque in newton metres, for a column; "-" where there is none."""
    return "-" if step.low_nm is None or step.high_nm is None else f"{step.low_nm:.1f}-{step.high_nm:.1f}"


def in_hundred(chance: float) -> str:
    """A chance from 0 to 1 as so many in a hundred; never 0 or 100 of them, because none is certain."""
    return str(min(max(round(chance * 100), 1), 99))
