"""The load steps of one place of the anchor: every grade, strands and mark that make a load."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from coach.mechanics.anchor import anchor_m
from coach.mechanics.arm import raised_to
from coach.mechanics.band import Rubber, elongation, rubber_of, tension_n
from coach.mechanics.body import body_of
from coach.mechanics.torque import (
    ArmWeight,
    LineOfPull,
    arm_weight,
    available_deg,
    band_work_j,
    line_of_pull,
    rotations_deg,
)
from coach.model.band import BandGrade
from coach.model.exercise import Position
from coach.model.load_step import LoadStep
from coach.model.profile import Home, Profile

# Torques are rounded to a tenth of a millinewton metre: far less than anyone feels, and the same on every machine.
_DIGITS = 4

Refusal = Literal["slack", "over", "helps"]


@dataclass(frozen=True)
class Found:
    """What the marks give: the load steps in order of mean torque, and why the others are none."""

    steps: tuple[LoadStep, ...]
    refused: frozenset[Refusal]


def marks_at_home(home: Home) -> tuple[int, ...]:
    """Every distance in centimetres at which the client can have a mark."""
    return tuple(range(home.nearest_cm, home.farthest_cm + 1, home.mark_every_cm))


def steps_at(
    profile: Profile,
    position: Position,
    marks_cm: Sequence[int],
    height_cm: float,
    turn_deg: float,
    limits: Mapping[str, float],
) -> Found:
    """The load steps from these marks with the anchor at this height and body turn.

    A step is taut by the limit taut_at_start at the start of the arc, nowhere beyond the limit elongation_max, and
    its band resists more than it helps, and more than the arm's own weight helps. Raises ImpossibleAnchor for a mark
    inside the body, NoArc for an available range that ends before the arc starts.
    """
    body = body_of(profile)
    rotations = rotations_deg(position.arc_start_deg, available_deg(profile, position))
    arm = raised_to(body, position)
    weight = arm_weight(arm, rotations)
    bands = [(grade, rubber_of(grade)) for grade in profile.bands]
    steps: list[LoadStep] = []
    refused: set[Refusal] = set()
    for distance_cm in marks_cm:
        anchor = anchor_m(body, distance_cm / 100, height_cm / 100, turn_deg, position.anchor_side)
        pull = line_of_pull(arm, anchor, rotations)
        for grade, rubber in bands:
            for strands in profile.home.strands:
                found = _step(distance_cm, pull, weight, grade, rubber, strands, limits)
                if isinstance(found, LoadStep):
                    steps.append(found)
                else:
                    refused.add(found)
    names = [grade.name for grade in profile.bands]
    steps.sort(key=lambda step: (step.mean_nm, names.index(step.grade), step.strands, step.distance_cm))
    return Found(tuple(steps), frozenset(refused))


def _step(
    distance_cm: int,
    pull: LineOfPull,
    weight: ArmWeight,
    grade: BandGrade,
    rubber: Rubber,
    strands: Literal[1, 2],
    limits: Mapping[str, float],
) -> LoadStep | Refusal:
    """The load step from one mark, or why there is none."""
    rest = grade.resting_length_m
    if elongation(rest, pull.length_m[0], strands) < limits["taut_at_start"]:
        return "slack"
    if elongation(rest, max(pull.length_m), strands) > limits["elongation_max"]:
        return "over"
    band_j = band_work_j(pull, rubber, rest, strands)
    if min(band_j, band_j + weight.work_j) <= 0:
        return "helps"
    peak = max(
        tension_n(rubber, rest, length, strands) * moment_arm + arm
        for length, moment_arm, arm in zip(pull.length_m, pull.moment_arm_m, weight.torque_nm, strict=True)
    )
    turned = math.radians(pull.rotation_deg[-1] - pull.rotation_deg[0])
    return LoadStep(
        grade=grade.name,
        strands=strands,
        distance_cm=distance_cm,
        mean_nm=round((band_j + weight.work_j) / turned, _DIGITS),
        peak_nm=round(peak, _DIGITS),
    )
