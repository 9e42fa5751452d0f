"""The load of a step in numbers, and its place on the load ladder."""

import math

from coach.mechanics.arm import raise_arm_to
from coach.mechanics.body import body_of
from coach.mechanics.torque import Arc, arm_weight, torque_time_nms
from coach.model.load_step import LoadStep
from coach.model.message_format import fill
from coach.progression.decision_messages import load_placeholders
from coach.reports.text.layout import columns, heading, nm, paragraph, percent, row
from coach.session.phrases import tempo_values
from coach.session.plan import Plan

_AROUND = 4


def load_lines(plan: Plan, arc: Arc) -> list[str]:
    """Torque at the start, peak, mean and end, split into band and arm weight; then work and torque-time."""
    messages = plan.content.messages.therapist.setup_report
    peak = arc.torque_nm.index(arc.peak_nm)
    last = len(arc.rotation_deg) - 1
    tempo = plan.prescription.dose.tempo
    cells = [
        (messages.torque, messages.total, messages.of_band, messages.of_arm, messages.rotation),
        *(
            (label, *_parts(arc, index), fill(messages.arm_values, {"degrees": f"{arc.rotation_deg[index]:.0f}"}))
            for label, index in ((messages.start, 0), (messages.peak, peak), (messages.end, last))
        ),
        (messages.mean, *_mean_parts(plan, arc), ""),
    ]
    torque_time = {
        "torque_time": f"{torque_time_nms(arc, tempo, plan.repetitions):.0f}",
        "repetitions": plan.repetitions,
        **tempo_values(plan.content, plan.before.exercise, tempo),
    }
    return [
        *heading(messages.load_title),
        *columns(cells, messages.torque),
        "",
        *row(messages.work, fill(messages.work_value, {"work": f"{arc.work_j:.2f}"})),
        *row(messages.torque_time, fill(messages.torque_time_value, torque_time)),
    ]


def _parts(arc: Arc, index: int) -> tuple[str, str, str]:
    """Torque at one rotation: in total, from the band, from the weight of the arm."""
    return nm(arc.torque_nm[index]), nm(arc.band_nm[index]), nm(arc.arm_nm[index])


def _mean_parts(plan: Plan, arc: Arc) -> tuple[str, str, str]:
    """The mean torque over the arc (work divided by the angle), split in the same way."""
    weight = arm_weight(raise_arm_to(body_of(plan.profile), plan.position), arc.rotation_deg)
    arm_nm = weight.work_j / math.radians(arc.rotation_deg[-1] - arc.rotation_deg[0])
    return nm(arc.mean_nm), nm(arc.mean_nm - arm_nm), nm(arm_nm)


def ladder_lines(plan: Plan, whole: bool) -> list[str]:
    """Each load step with its torques and the rise to the next; not `whole`: only those around the current step."""
    messages = plan.content.messages.therapist.setup_report
    steps = plan.ladder.steps
    first, last = (0, len(steps) - 1) if whole else _shown(plan)
    cells = [("", *messages.ladder_columns)]
    cells += [_cells(plan, index) for index in range(first, last + 1)]
    title = fill(messages.ladder_title, {"first": first + 1, "last": last + 1, "steps": len(steps)})
    return [*heading(title), *columns(cells, messages.ladder_title, left=3), "", *paragraph(messages.ladder_part)]


def _shown(plan: Plan) -> tuple[int, int]:
    """The first and last index shown: steps on either side, including the easier and the next step."""
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


def next_step_lines(plan: Plan) -> list[str]:
    """The next step of the progression, and whether the repetitions start again."""
    messages = plan.content.messages.therapist.setup_report
    following = plan.rungs(plan.step).next_step
    if following is None:
        return row(messages.next, messages.curve_none["harder"])
    rise, limit = _rise(plan.step, following), plan.limits["load_rise_max"]
    values = {**load_placeholders(following, plan.content), "rise": f"{rise * 100:.1f}", "limit": percent(limit)}
    return row(messages.next, fill(messages.next_large if rise > limit else messages.next_small, values))
