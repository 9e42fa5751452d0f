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
    Arc,
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
"""Not taut, stretched beyond the ceiling, or moving the arm along instead of loading it."""

# Torques smaller than this are taken as none: sums of zero come out as a few of the last digits.
NO_TORQUE_NM = 1e-9


@dataclass(frozen=True)
class StepRefusal:
    """Why a band, strands and mark make no load step, and the first rotation of the arc at which it shows."""

    reason: RefusalReason
    at_deg: float


@dataclass(frozen=True)
class StepSearch:
    """The load steps found, in order of mean torque, and the reasons for which other combinations were refused."""

    steps: tuple[LoadStep, ...]
    refused: tuple[StepRefusal, ...]


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

    A step keeps the rules of `find_refusal` over the whole arc. Raises ImpossibleAnchor for a mark inside the body,
    NoArc for an available range that ends before the arc starts.
    """
    body = body_of(profile)
    rotations = rotations_deg(position.arc_start_deg, available_deg(profile, position))
    arm = raise_arm_to(body, position)
    weight = arm_weight(arm, rotations)
    bands = [(grade, rubber_of(grade)) for grade in profile.bands]
    steps: list[LoadStep] = []
    refused: list[StepRefusal] = []
    for distance_cm in marks_cm:
        pull = line_of_pull(arm, anchor.point_m(body, distance_cm, position.anchor_side), rotations)
        for grade, rubber in bands:
            for strands in profile.home.strands:
                found = _step(distance_cm, pull, weight, grade, rubber, strands, limits)
                if isinstance(found, LoadStep):
                    steps.append(found)
                else:
                    refused.append(found)
    names = [grade.name for grade in profile.bands]
    steps.sort(key=lambda step: (step.mean_nm, names.index(step.grade), step.strands, step.distance_cm))
    return StepSearch(tuple(steps), tuple(refused))


def _step(
    distance_cm: int,
    pull: LineOfPull,
    weight: ArmWeight,
    grade: BandGrade,
    rubber: Rubber,
    strands: Literal[1, 2],
    limits: Mapping[str, float],
) -> LoadStep | StepRefusal:
    """The load step from one mark, or why there is none."""
    rest = grade.resting_length_m
    refusal = _stretch_refusal(pull, rest, strands, limits)
    if refusal is not None:
        return refusal
    peak_nm = 0.0
    for at_deg, length, moment_arm, arm_nm in zip(
        pull.rotation_deg, pull.length_m, pull.moment_arm_m, weight.torque_nm, strict=True
    ):
        torque_nm = tension_n(rubber, rest, length, strands) * moment_arm + arm_nm
        if torque_nm <= NO_TORQUE_NM:
            return StepRefusal("helps", at_deg)
        peak_nm = max(peak_nm, torque_nm)
    turned = math.radians(pull.rotation_deg[-1] - pull.rotation_deg[0])
    return LoadStep(
        grade=grade.name,
        strands=strands,
        distance_cm=distance_cm,
        mean_nm=round((band_work_j(pull, rubber, rest, strands) + weight.work_j) / turned, _DIGITS),
        peak_nm=round(peak_nm, _DIGITS),
    )


def find_refusal(arc: Arc, limits: Mapping[str, float]) -> StepRefusal | None:
    """Why the load of an arc may not be used, at the first rotation that shows it; None where it may.

    At every degree, the hold at the end included, a band must be stretched by taut_at_start or more and by
    elongation_max at most, and it and the arm's weight together must leave a torque to resist.
    """
    for at_deg, elongation_there in zip(arc.rotation_deg, arc.elongation, strict=True):
        if elongation_there < limits["taut_at_start"]:
            return StepRefusal("slack", at_deg)
        if elongation_there > limits["elongation_max"]:
            return StepRefusal("over", at_deg)
    for at_deg, torque_nm in zip(arc.rotation_deg, arc.torque_nm, strict=True):
        if torque_nm <= NO_TORQUE_NM:
            return StepRefusal("helps", at_deg)
    return None


def _stretch_refusal(
    pull: LineOfPull, rest_m: float, strands: Literal[1, 2], limits: Mapping[str, float]
) -> StepRefusal | None:
    """As find_refusal, of the stretch alone: the length needs no tension, so most marks are refused at once."""
    shortest, longest = min(pull.length_m), max(pull.length_m)
    if elongation(rest_m, shortest, strands) < limits["taut_at_start"]:
        return StepRefusal("slack", pull.rotation_deg[pull.length_m.index(shortest)])
    if elongation(rest_m, longest, strands) > limits["elongation_max"]:
        return StepRefusal("over", pull.rotation_deg[pull.length_m.index(longest)])
    return None
