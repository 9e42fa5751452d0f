"""The load of a step in numbers: torque of band and arm weight through the arc, work, torque-time."""

import math

from coach.mechanics.arm import raise_arm_to
from coach.mechanics.body import body_of
from coach.mechanics.torque import Arc, arm_weight, torque_time_nms
from coach.model.message_format import fill
from coach.model.messages.setup_report import SetupReportWords
from coach.reports.text.layout import columns, heading, nm, row
from coach.session.plan import Plan
from coach.session.set_words import tempo_values


def load_lines(plan: Plan, arc: Arc) -> list[str]:
    """Torque at the start, at its peak, on average and at the end, split; then work and torque-time."""
    words = plan.content.words.of(SetupReportWords)
    peak = arc.torque_nm.index(arc.peak_nm)
    last = len(arc.rotation_deg) - 1
    tempo = plan.prescription.dose.tempo
    cells = [
        (words.torque, words.total, words.of_band, words.of_arm, words.rotation),
        *(
            (label, *_parts(arc, index), fill(words.arm_values, {"degrees": f"{arc.rotation_deg[index]:.0f}"}))
            for label, index in ((words.start, 0), (words.peak, peak), (words.end, last))
        ),
        (words.mean, *_mean_parts(plan, arc), ""),
    ]
    torque_time = {
        "torque_time": f"{torque_time_nms(arc, tempo, plan.repetitions):.0f}",
        "repetitions": plan.repetitions,
        **tempo_values(plan.content, plan.before.exercise, tempo),
    }
    return [
        *heading(words.load_title),
        *columns(cells, words.torque),
        "",
        *row(words.work, fill(words.work_value, {"work": f"{arc.work_j:.2f}"})),
        *row(words.torque_time, fill(words.torque_time_value, torque_time)),
    ]


def _parts(arc: Arc, index: int) -> tuple[str, str, str]:
    """Torque at one rotation: all of it, the band's, the arm's weight's."""
    return nm(arc.torque_nm[index]), nm(arc.band_nm[index]), nm(arc.arm_nm[index])


def _mean_parts(plan: Plan, arc: Arc) -> tuple[str, str, str]:
    """The mean over the arc, split the same way: work over the angle turned."""
    weight = arm_weight(raise_arm_to(body_of(plan.profile), plan.position), arc.rotation_deg)
    arm_nm = weight.work_j / math.radians(arc.rotation_deg[-1] - arc.rotation_deg[0])
    return nm(arc.mean_nm), nm(arc.mean_nm - arm_nm), nm(arm_nm)
