"""The setup of a load step: numbers, effect of a wrong setup, alternatives, torque curve, ladder and drawing."""

from typing import Literal

from msgspec.structs import asdict

from coach.drawing.raster import plain_rows
from coach.drawing.scene import from_above, from_the_side
from coach.mechanics.band import rubber_of
from coach.mechanics.setup import Sensitivity, Setup
from coach.mechanics.setup_alternatives import SetupAlternatives, find_alternatives
from coach.mechanics.torque import Arc, grade_on_shelf
from coach.model.message_format import fill
from coach.model.messages.therapist_reports import SetupReportMessages
from coach.overview.text_columns import text_columns
from coach.reports.pdf.setup_drawing import drawing_labels
from coach.reports.text.layout import cm, columns, heading, paragraph, percent, row
from coach.reports.text.load import ladder_lines, load_lines, next_step_lines, work_lines
from coach.reports.text.setup_alternatives import (
    alternatives_lines,
    fixed_distance_cost,
    fixed_height_cost,
    fixed_turn_cost,
)
from coach.reports.text.torque_curve import curve_lines
from coach.session.phrases import position_messages, setup_of, setup_values
from coach.session.plan import Plan

_DRAWING_ROWS = 20


def setup_text(plan: Plan, whole: bool = False) -> str:
    """The report on the load step of the plan, at most 80 columns wide; `whole` lists every step of the ladder.

    For another position, pass a plan for that position.
    """
    messages = plan.content.messages.therapist.setup_report
    setup = setup_of(plan, plan.step)
    priced = find_alternatives(plan.profile, plan.prescription, plan.position, plan.step, plan.limits)
    title = fill(messages.title, {"profile": plan.profile.name, "position": position_messages(plan).title})
    lines = [
        *paragraph(title),
        *paragraph(messages.computed),
        *_in_numbers(plan, setup, priced, messages),
        *load_lines(plan, setup.arc),
        *next_step_lines(plan),
        *work_lines(plan, setup.arc),
        *_wrong(plan, setup, messages),
        *alternatives_lines(plan, priced),
        *curve_lines(plan),
        *ladder_lines(plan, whole),
        *_drawn(plan, setup, messages),
    ]
    return "\n".join(lines) + "\n"


def _in_numbers(plan: Plan, setup: Setup, priced: SetupAlternatives, messages: SetupReportMessages) -> list[str]:
    values = setup_values(plan, setup)
    anchor = fill(messages.anchor_value, {**values, "why": _why_height(plan, setup, messages)})
    on_foot = plan.position.anchor == "foot"
    turn = (messages.turn, fill(messages.turn_value, values), fixed_turn_cost(plan, priced, setup.arc))
    distance = fill(messages.underfoot_value if on_foot else messages.distance_value, values)
    rows: tuple[tuple[str, str, list[str]], ...] = (
        (messages.band, fill(messages.band_value, values), []),
        (messages.distance, distance, fixed_distance_cost(plan, priced.distance)),
        (messages.anchor, anchor, fixed_height_cost(plan, priced, setup.arc)),
        *(() if on_foot else (turn,)),
        (messages.elongation, _elongation(plan, setup.arc, messages), _flags(plan, setup, messages)),
    )
    lines = heading(messages.setup_title)
    for label, text, notes in rows:
        lines += row(label, text)
        for note in notes:
            lines += row("", note)
    return lines


def _why_height(plan: Plan, setup: Setup, messages: SetupReportMessages) -> str:
    """Why the anchor is at this height, as a sentence."""
    wanted = plan.content.messages.rules.landmark[plan.position.anchor_landmark]
    placement = setup.placement
    return fill(messages.why_height[placement.why], {"wanted": wanted, **asdict(placement)})


def _elongation(plan: Plan, arc: Arc, messages: SetupReportMessages) -> str:
    values = {
        "start": percent(arc.elongation[0]),
        "end": percent(arc.elongation[-1]),
        "most": percent(max(arc.elongation)),
        "ceiling": percent(plan.limits["elongation_max"]),
    }
    text = fill(messages.elongation_value, values)
    return text if values["most"] == values["end"] else f"{text}. {fill(messages.elongation_most, values)}"


def _flags(plan: Plan, setup: Setup, messages: SetupReportMessages) -> list[str]:
    """Warnings about the elongation: beyond the measured points, or one distance error below the ceiling."""
    flags = []
    if setup.arc.extrapolated:
        grade = grade_on_shelf(plan.profile, setup.step.grade)
        length_cm = cm(grade.resting_length_m * (1 + max(setup.arc.elongation)))
        measured = percent(rubber_of(grade).measured_to)
        flags.append(fill(messages.extrapolated, {"measured": measured, "length_cm": length_cm}))
    for wrong in setup.sensitivities:
        if wrong.what == "distance_cm" and wrong.change > 0 and wrong.problem == "over":
            flags.append(fill(messages.near_ceiling, {"change": wrong.change}))
    return flags


def _wrong(plan: Plan, setup: Setup, messages: SetupReportMessages) -> list[str]:
    cells = [messages.wrong_columns, *(_wrong_cells(plan, one, messages) for one in setup.sensitivities)]
    return [*heading(messages.wrong_title), *columns(cells, messages.wrong_title, left=3)]


def _wrong_cells(plan: Plan, wrong: Sensitivity, messages: SetupReportMessages) -> tuple[str, str, str]:
    """One row of the table: the error, the change of the mean torque, and the effect as text."""
    what = fill(messages.wrong[wrong.what][wrong.change > 0], {"change": abs(wrong.change)})
    if wrong.mean_change is None:
        return what, "-", messages.wrong_trouble["impossible"]
    effects = [messages.wrong_effect[_effect(plan, wrong.mean_change)]]
    if wrong.problem is not None:
        effects.append(messages.wrong_trouble[wrong.problem])
    return what, f"{percent(wrong.mean_change, '+'):>4} %", ", ".join(effects)


def _effect(plan: Plan, change: float) -> Literal["harder", "easier", "alike"]:
    """The effect of a relative change of torque; below load_rise_min it counts as none."""
    if abs(change) < plan.limits["load_rise_min"]:
        return "alike"
    return "harder" if change > 0 else "easier"


def _drawn(plan: Plan, setup: Setup, messages: SetupReportMessages) -> list[str]:
    labels = drawing_labels(plan, setup)
    side = plan.profile.side
    lines: list[str] = []
    for title, scene in (
        (messages.from_above, from_above(setup, side)),
        (messages.from_the_side, from_the_side(setup, side)),
    ):
        rows = plain_rows(scene, text_columns(), _DRAWING_ROWS, labels)
        lines += [*heading(title), *(line.rstrip() for line in rows)]
    return lines
