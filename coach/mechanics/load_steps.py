"""The load steps for one place of the anchor: every band, strands and mark that load the arm."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from coach.mechanics.anchor import Anchor
from coach.mechanics.arm import raise_arm_to
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

RefusalReason = Literal["slack", "over", "helps"]
"""Not taut at the start, stretched beyond the ceiling, or moving the arm along instead of loading it."""


@dataclass(frozen=True)
class StepSearch:
    """The load steps found, in order of mean torque, and the reasons for which other combinations were refused."""

    steps: tuple[LoadStep, ...]
    refused: frozenset[RefusalReason]


def home_marks_cm(home: Home) -> tuple[int, ...]:
    """Every distance in centimetres at which the client can have a mark."""
    return tuple(range(home.nearest_cm, home.farthest_cm + 1, home.mark_every_cm))


def search_steps(
    profile: Profile,
    position: Position,
    marks_cm: Sequence[int],
    anchor: Anchor,
    limits: Mapping[str, float],
) -> StepSearch:
    """The load steps from these marks, in centimetres from an anchor.

    A step is stretched by taut_at_start or more at the start of the arc, nowhere beyond elongation_max, and its band
    takes more work than it gives back, also after the work that the arm's own weight does. Raises ImpossibleAnchor
    for a mark inside the body, NoArc for an available range that ends before the arc starts.
    """
    body = body_of(profile)
    rotations = rotations_deg(position.arc_start_deg, available_deg(profile, position))
    arm = raise_arm_to(body, position)
    weight = arm_weight(arm, rotations)
    bands = [(grade, rubber_of(grade)) for grade in profile.bands]
    steps: list[LoadStep] = []
    refused: set[RefusalReason] = set()
    for distance_cm in marks_cm:
        pull = line_of_pull(arm, anchor.point_m(body, distance_cm, position.anchor_side), rotations)
        for grade, rubber in bands:
            for strands in profile.home.strands:
                found = _step(distance_cm, pull, weight, grade, rubber, strands, limits)
                if isinstance(found, LoadStep):
                    steps.append(found)
                else:
                    refused.add(found)
    names = [grade.name for grade in profile.bands]
    steps.sort(key=lambda step: (step.mean_nm, names.index(step.grade), step.strands, step.distance_cm))
    return StepSearch(tuple(steps), frozenset(refused))


def _step(
    distance_cm: int,
    pull: LineOfPull,
    weight: ArmWeight,
    grade: BandGrade,
    rubber: Rubber,
    strands: Literal[1, 2],
    limits: Mapping[str, float],
) -> LoadStep | RefusalReason:
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
