"""The hazard log as text, for whoever answers for the program."""

from collections.abc import Sequence
from textwrap import wrap

from coach.authoring.hazard_log import Hazard

_WIDTH = 100
_INDENT = "  "


def hazard_log(hazards: Sequence[Hazard]) -> str:
    """Every hazard with its situation, harm, controls, and risk before and after; lines of at most 100 columns."""
    return "\n".join(line for hazard in hazards for line in (*_lines(hazard), "")) + f"{len(hazards)} hazards\n"


def _lines(hazard: Hazard) -> list[str]:
    fields = (
        ("Hazard", hazard.hazard),
        ("Hazardous situation", hazard.situation),
        ("Harm", f"{hazard.harm} (severity: {hazard.severity})"),
        ("Probability of occurrence of harm", f"{hazard.probability}; controlled: {hazard.residual_probability}"),
        ("Risk controls", ", ".join(control.replace(":", " ", 1) for control in hazard.controls)),
        ("Residual risk", hazard.residual),
    )
    lines = [hazard.name]
    for name, text in fields:
        lines += [_INDENT + line for line in wrap(f"{name}: {text}", _WIDTH - len(_INDENT))]
    return lines
