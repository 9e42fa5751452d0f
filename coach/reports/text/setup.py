"""The setup of a load step for the therapist: numbers, what a wrong setup does, other places, torque
curve, ladder, drawing."""

from typing import Literal

from coach.drawing.raster import plain_rows
from coach.drawing.scene import from_above, from_the_side
from coach.mechanics.band import rubber_of
from coach.mechanics.setup import Sensitivity, Setup
from coach.mechanics.setup_alternatives import SetupAlternatives, find_alternatives
from coach.mechanics.torque import Arc, grade_on_shelf
from coach.model.message_format import fill
from coach.model.messages.setup_report import SetupReportWords
from coach.reports.pdf.setup_drawing import drawing_labels
from coach.reports.text.ladder import ladder_lines, next_lines
from coach.reports.text.layout import WIDTH, cm, columns, heading, paragraph, percent, row
from coach.reports.text.load import load_lines
from coach.reports.text.setup_alternatives import places_lines, price_of_distance, price_of_height, price_of_turn
from coach.reports.text.torque_curve import curve_lines
from coach.session.phrases import position_words, setup_of, setup_values
from coach.session.plan import Plan

_DRAWING_ROWS = 20


def setup_text(plan: Plan, whole: bool = False) -> str:
    """The report on today's load step, at most 80 columns wide; `whole` shows every step of the ladder.

    For another position give a plan of that position.
    """
    words = plan.content.words.of(SetupReportWords)
    setup = setup_of(plan, plan.step)
    priced = find_alternatives(plan.profile, plan.prescription, plan.position, plan.step, plan.limits)
    title = fill(words.title, {"profile": plan.profile.name, "position": position_words(plan).title})
    lines = [
        *paragraph(title),
        *paragraph(words.computed),
        *_in_numbers(plan, setup, priced, words),
        *load_lines(plan, setup.arc),
        *next_lines(plan),
        *_wrong(plan, setup, words),
        *places_lines(plan, priced),
        *curve_lines(plan),
        *ladder_lines(plan, whole),
        *_drawn(plan, setup, words),
    ]
    return "\n".join(lines) + "\n"


def _in_numbers(plan: Plan, setup: Setup, priced: SetupAlternatives, words: SetupReportWords) -> list[str]:
    values = setup_values(plan, setup)
    anchor = fill(words.anchor_value, {**values, "why": _why_height(plan, setup, words)})
    said: tuple[tuple[str, str, list[str]], ...] = (
        (words.band, fill(words.band_value, values), []),
        (words.distance, fill(words.distance_value, values), price_of_distance(plan, priced.distance)),
        (words.anchor, anchor, price_of_height(plan, priced, setup.arc)),
        (words.turn, fill(words.turn_value, values), price_of_turn(plan, priced, setup.arc)),
        (words.elongation, _elongation(plan, setup.arc, words), _flags(plan, setup, words)),
    )
    lines = heading(words.setup_title)
    for label, text, notes in said:
        lines += row(label, text)
        for note in notes:
            lines += row("", note)
    return lines


def _why_height(plan: Plan, setup: Setup, words: SetupReportWords) -> str:
    """Why the anchor is at this height."""
    wanted = plan.content.words.rules.landmark[plan.position.anchor_landmark]
    placement = setup.placement
    return fill(words.why_height[placement.why], {"wanted": wanted, **vars(placement)})


def _elongation(plan: Plan, arc: Arc, words: SetupReportWords) -> str:
    values = {
        "start": percent(arc.elongation[0]),
        "end": percent(arc.elongation[-1]),
        "most": percent(max(arc.elongation)),
        "ceiling": percent(plan.limits["elongation_max"]),
    }
    said = fill(words.elongation_value, values)
    return said if values["most"] == values["end"] else f"{said}. {fill(words.elongation_most, values)}"


def _flags(plan: Plan, setup: Setup, words: SetupReportWords) -> list[str]:
    """What is doubtful about the elongation: beyond the measured points, or one error away from the ceiling."""
    flags = []
    if setup.arc.extrapolated:
        grade = grade_on_shelf(plan.profile, setup.step.grade)
        length_cm = cm(grade.resting_length_m * (1 + max(setup.arc.elongation)))
        measured = percent(rubber_of(grade).measured_to)
        flags.append(fill(words.extrapolated, {"measured": measured, "length_cm": length_cm}))
    for wrong in setup.sensitivities:
        if wrong.what == "distance_cm" and wrong.change > 0 and wrong.problem == "over":
            flags.append(fill(words.near_ceiling, {"change": wrong.change}))
    return flags


def _wrong(plan: Plan, setup: Setup, words: SetupReportWords) -> list[str]:
    cells = [words.wrong_columns, *(_wrong_cells(plan, one, words) for one in setup.sensitivities)]
    return [*heading(words.wrong_title), *columns(cells, words.wrong_title, left=3)]


def _wrong_cells(plan: Plan, wrong: Sensitivity, words: SetupReportWords) -> tuple[str, str, str]:
    """What is wrong, what becomes of the mean torque, and in words."""
    what = fill(words.wrong[wrong.what][wrong.change > 0], {"change": abs(wrong.change)})
    if wrong.mean_change is None:
        return what, "-", words.wrong_trouble["impossible"]
    said = [words.wrong_effect[_effect(plan, wrong.mean_change)]]
    if wrong.problem is not None:
        said.append(words.wrong_trouble[wrong.problem])
    return what, f"{percent(wrong.mean_change, '+'):>4} %", ", ".join(said)


def _effect(plan: Plan, change: float) -> Literal["harder", "easier", "alike"]:
    """A change below the smallest rise that counts as a step is none."""
    if abs(change) < plan.limits["load_rise_min"]:
        return "alike"
    return "harder" if change > 0 else "easier"


def _drawn(plan: Plan, setup: Setup, words: SetupReportWords) -> list[str]:
    labels = drawing_labels(plan, setup)
    side = plan.profile.side
    lines: list[str] = []
    for title, scene in (
        (words.from_above, from_above(setup, side)),
        (words.from_the_side, from_the_side(setup, side)),
    ):
        rows = plain_rows(scene, WIDTH, _DRAWING_ROWS, labels)
        lines += [*heading(title), *(line.rstrip() for line in rows)]
    return lines
