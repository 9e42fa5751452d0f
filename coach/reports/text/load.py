"""The load of a step in numbers, and its place on the load ladder."""

from typing import Literal

from coach.drawing.plots.axes import numeric_axis, ticks
from coach.drawing.plots.plot import Marks, Plot, Spread
from coach.drawing.plots.plot_rows import plot_lines
from coach.mechanics.band import rubber_of
from coach.mechanics.body import body_of
from coach.mechanics.first_step import measured_strength_nm, share_allowed
from coach.mechanics.motion.motion import PER_UNIT
from coach.mechanics.motion.motions import motion_of
from coach.mechanics.torque import Arc, arm_weight, grade_on_shelf, torque_time_nms
from coach.model.exercise import Position
from coach.model.load_step import LoadStep, Rungs
from coach.model.message_format import fill
from coach.overview.text_columns import text_columns
from coach.progression.decision_messages import load_placeholders
from coach.reports.text.layout import columns, heading, nm, paragraph, percent, row
from coach.session.phrases import tempo_values
from coach.session.plan import Plan

_AROUND = 4
_PLOT_WIDTH, _PLOT_TICKS, _PLOT_FRAME = 76, 8, 2
_HALF_ROW = 0.35  # so that the spreads of two steps do not touch
_SOURCES = 3  # so many of the largest sources of the spread are named


def load_lines(plan: Plan, arc: Arc) -> list[str]:
    """Torque at the start, peak, mean and end, split into band and arm weight; its interval and share of strength."""
    messages = plan.content.messages.therapist.setup_report
    peak = arc.torque_nm.index(arc.peak_nm)
    last = len(arc.q) - 1
    along, unit = plan.content.messages.therapist.along[arc.coordinate], {"unit": plan.position.load_unit}
    cells = [
        (fill(messages.torque, unit), messages.total, messages.of_band, messages.of_arm, messages.rotation),
        *(
            (label, *_parts(arc, index), fill(messages.arm_values, {"at": f"{arc.q[index]:.0f}", "along": along}))
            for label, index in ((messages.start, 0), (messages.peak, peak), (messages.end, last))
        ),
        (messages.mean, *_mean_parts(plan, arc), ""),
    ]
    return [
        *heading(messages.load_title),
        *columns(cells, messages.torque),
        "",
        *_likely(plan),
        *_share(plan),
    ]


def work_lines(plan: Plan, arc: Arc) -> list[str]:
    """The work of one repetition and the torque-time of a set."""
    messages, tempo = plan.content.messages.therapist.setup_report, plan.prescription.dose.tempo
    torque_time = {
        "unit": plan.position.load_unit,
        "torque_time": f"{torque_time_nms(arc, tempo, plan.repetitions):.0f}",
        "repetitions": plan.repetitions,
        **tempo_values(plan.content, plan.before.exercise, tempo),
    }
    return [
        *row(messages.work, fill(messages.work_value, {"work": f"{arc.work_j:.2f}"})),
        *row(messages.torque_time, fill(messages.torque_time_value, torque_time)),
    ]


def _parts(arc: Arc, index: int) -> tuple[str, str, str]:
    """Torque at one rotation: in total, from the band, from the weight of the arm."""
    return nm(arc.torque_nm[index]), nm(arc.band_nm[index]), nm(arc.arm_nm[index])


def _mean_parts(plan: Plan, arc: Arc) -> tuple[str, str, str]:
    """The mean torque over the arc (work divided by the angle), split in the same way."""
    weight = arm_weight(motion_of(body_of(plan.profile), plan.position), arc.q)
    arm_nm = weight.work_j / ((arc.q[-1] - arc.q[0]) * PER_UNIT[arc.coordinate])
    return nm(arc.mean_nm), nm(arc.mean_nm - arm_nm), nm(arm_nm)


def _likely(plan: Plan) -> list[str]:
    """The interval of the mean torque, and the inputs from which most of it comes."""
    messages, step = plan.content.messages.therapist.setup_report, plan.step
    if step.low_nm is None or step.high_nm is None:
        return []
    parts = plan.ladder.comparison.contributions(step).by_input
    largest = sorted(parts, key=lambda name: -parts[name])[:_SOURCES]
    names = [messages.input[_held(plan.position) if name == "elevation" else name] for name in largest]
    values = {"low": f"{step.low_nm:.1f}", "high": f"{step.high_nm:.1f}", "inputs": ", ".join(names)}
    values["unit"] = step.load_unit
    lines = row(messages.likely, fill(messages.likely_value, values))
    if rubber_of(grade_on_shelf(plan.profile, step.grade)).guess:
        lines += row("", messages.likely_one_point)
    return lines


def _held(position: Position) -> Literal["gap", "elevation", "plane", "line"]:
    """What is uncertain about how the arm is held."""
    if position.coordinate == "path":
        return "line"
    if not position.rotates:
        return "plane"
    return "gap" if position.elbow_gap_cm else "elevation"


def _share(plan: Plan) -> list[str]:
    """The peak as a share of measured strength; nothing where none was measured in this position."""
    messages, strength_nm = (
        plan.content.messages.therapist.setup_report,
        measured_strength_nm(plan.profile, plan.position),
    )
    if strength_nm is None:
        return []
    values = {
        "share": percent(plan.step.peak_nm / strength_nm),
        "strength": f"{strength_nm:.1f}",
        "unit": plan.position.load_unit,
        "most": percent(share_allowed(plan.prescription, plan.limits)),
    }
    return row(messages.share, fill(messages.share_value, values))


def ladder_lines(plan: Plan, whole: bool) -> list[str]:
    """Each step with its torques and the rise to the next line."""
    messages = plan.content.messages.therapist.setup_report
    steps = plan.ladder.steps
    first, last = (0, len(steps) - 1) if whole else _shown(plan)
    unit = {"unit": plan.position.load_unit}
    cells = [("", *(fill(column, unit) for column in messages.ladder_columns))]
    cells += [_cells(plan, index) for index in range(first, last + 1)]
    title = fill(messages.ladder_title, {"first": first + 1, "last": last + 1, "steps": len(steps)})
    drawn = fill(messages.ladder_drawn, unit)
    return [
        *heading(title),
        *columns(cells, messages.ladder_title, left=3),
        "",
        *paragraph(messages.ladder_part),
        "",
        *paragraph(drawn),
        *plot_lines(
            _ladder_plot(plan, first, last), min(_PLOT_WIDTH, text_columns()), last - first + 1 + _PLOT_FRAME
        ),
    ]


def _ladder_plot(plan: Plan, first: int, last: int) -> Plot:
    """A row for each step, the heaviest on top: its mean load, and how well that is known."""
    steps = plan.ladder.steps[first : last + 1]
    known = [(step.low_nm or step.mean_nm, step.high_nm or step.mean_nm) for step in steps]
    along = ticks(min(low for low, _ in known), max(high for _, high in known), most=_PLOT_TICKS)
    spreads = tuple(
        Spread(((low, row - _HALF_ROW, row + _HALF_ROW), (high, row - _HALF_ROW, row + _HALF_ROW)))
        for row, (low, high) in enumerate(known)
    )
    others, here = (
        Marks(tuple((step.mean_nm, float(row)) for row, step in enumerate(steps) if (step == plan.step) == now), mark)
        for now, mark in ((False, "●"), (True, "◆"))
    )
    names = {float(row): f"{step.grade} {step.strands} × {step.distance_cm} cm" for row, step in enumerate(steps)}
    axis = numeric_axis(along, plan.content.messages.therapist.setup_report.ladder_title)
    return Plot(axis, names, spreads, marks=(others, here))


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


def next_step_lines(plan: Plan) -> list[str]:
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
