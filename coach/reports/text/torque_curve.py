"""The torque curves of a load step and its neighbours, as a plot and as numbers."""

from collections.abc import Mapping
from typing import Literal

from coach.drawing.plots.axes import even_ticks, numeric_axis, ticks
from coach.drawing.plots.plot import CurveRole, Line, Plot, Spread
from coach.drawing.plots.plot_rows import plot_lines
from coach.mechanics.anchor_placement import arc_of_step
from coach.mechanics.torque import Arc
from coach.model.exercise import Coordinate
from coach.model.load_step import LoadStep
from coach.model.message_format import fill
from coach.model.messages.therapist_reports import SetupReportMessages
from coach.overview.chart_plot import SAMPLES, SPREAD_SAMPLE
from coach.overview.text_columns import text_columns
from coach.progression.decision_messages import load_placeholders
from coach.reports.text.layout import columns, heading, marked, nm, paragraph
from coach.session.plan import Plan

Which = Literal["easier", "this", "harder"]

_SIGN: dict[Coordinate, str] = {"angle": "°", "path": "cm"}
_LINES: dict[Which, CurveRole] = {"easier": "curve_dotted", "this": "curve", "harder": "curve_dashed"}
_PLOT_WIDTH, _PLOT_HEIGHT = 76, 20
_MOST_ROTATIONS = 9
_MARK_WIDTH = 4


def curve_lines(plan: Plan) -> list[str]:
    """The plot with its legend, and the loads at round values as a table for those who cannot see the plot."""
    messages = plan.content.messages.therapist.setup_report
    rungs = plan.rungs(plan.step)
    steps: dict[Which, LoadStep | None] = {"easier": rungs.easier, "harder": rungs.next_step, "this": plan.step}
    arcs = {which: _arc(plan, step) for which, step in steps.items() if step is not None}
    values = arcs["this"].q
    edges = plan.ladder.comparison.torque_interval_nm(plan.step)
    along = plan.content.messages.therapist.along[plan.position.coordinate]
    axes = fill(messages.curve_axes, {"unit": plan.position.load_unit, "along": along})
    lines = [*heading(messages.curve_title), *paragraph(axes)]
    lines += plot_lines(_plot(arcs, edges, messages), min(_PLOT_WIDTH, text_columns()), _PLOT_HEIGHT)
    order: tuple[Which, ...] = ("harder", "this", "easier")
    for which in order:
        step = steps[which]
        if step is None:
            lines += marked("", messages.curve_none["easier" if which == "easier" else "harder"], _MARK_WIDTH)
        else:
            label = fill(messages.curve[which], load_placeholders(step, plan.content))
            lines += marked(SAMPLES[_LINES[which]], label, _MARK_WIDTH)
    lines += marked(SPREAD_SAMPLE, messages.likely_curve, _MARK_WIDTH)
    cells = [
        (
            f"{messages.rotation} {_SIGN[plan.position.coordinate]}",
            *(f"{values[at]:.0f}" for at in _round_indices(values)),
        )
    ]
    cells += [(SAMPLES[_LINES[which]], *_at(arcs[which])) for which in order if which in arcs]
    at = _round_indices(values)
    cells += [(SPREAD_SAMPLE, *(nm(edge[index]) for index in at)) for edge in edges]
    return [*lines, "", *columns(cells, messages.curve_axes)]


def _plot(
    arcs: Mapping[Which, Arc], edges: tuple[tuple[float, ...], tuple[float, ...]], messages: SetupReportMessages
) -> Plot:
    """The curves, each with its name at its end, and the spread of this step."""
    values = arcs["this"].q
    loads = [load for arc in arcs.values() for load in arc.torque_nm] + [load for edge in edges for load in edge]
    lines = [
        Line(tuple(zip(arc.q, arc.torque_nm, strict=True)), _LINES[which], messages.curve_name[which])
        for which, arc in arcs.items()
    ]
    up = even_ticks(min(loads), max(loads), _PLOT_HEIGHT // 2, _PLOT_HEIGHT)
    along = ticks(values[0], values[-1], most=9)
    x_axis, y_axis = (numeric_axis(axis, messages.curve_axes) for axis in (along, up))
    return Plot(x_axis, y_axis, (Spread(tuple(zip(values, *edges, strict=True))),), tuple(lines))


def _arc(plan: Plan, step: LoadStep) -> Arc:
    return arc_of_step(plan.profile, plan.prescription, plan.position, step, plan.limits)


def _at(arc: Arc) -> tuple[str, ...]:
    return tuple(nm(arc.torque_nm[index]) for index in _round_indices(arc.q))


def _round_indices(values: tuple[float, ...]) -> tuple[int, ...]:
    """The indices of the first, the last and up to seven round values between."""
    last = len(values) - 1
    for every in (5, 15, 30):
        inside = [index for index in range(1, last) if values[index] % every == 0 and last - index >= every / 3]
        if len(inside) + 2 <= _MOST_ROTATIONS:
            break
    return (0, *inside, last)
