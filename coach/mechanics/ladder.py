"""The load ladder: every load step that is taut at the start and under the ceiling, in order of torque."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from coach.mechanics.anchor import anchor_height_cm, anchor_m, body_turn_deg
from coach.mechanics.band import Rubber, elongation, rubber_of, tension_n
from coach.mechanics.body import Body, body_of
from coach.mechanics.load import (
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
from coach.model.load import LoadStep, Rungs
from coach.model.prescription import FirstStep, Prescription
from coach.model.profile import Profile

# Torques are rounded to a tenth of a millinewton metre: far less than anyone feels, and the same on every machine.
_DIGITS = 4

Refusal = Literal["slack", "over", "helps"]


class NoLoadStep(ValueError):
    """No band at hand gives a load step in this position."""


@dataclass(frozen=True)
class Ladder:
    """The load steps of one position for one client, in order of mean torque; never empty."""

    position_deg: int
    steps: tuple[LoadStep, ...]


def build(profile: Profile, prescription: Prescription, position: Position, limits: Mapping[str, float]) -> Ladder:
    """Every grade, strands and distance mark that makes a load step.

    A step is taut by the limit taut_at_start at the start of the arc, nowhere beyond the limit elongation_max, and
    its band resists more than it helps. Raises NoLoadStep with the reason and what would mend it.
    """
    body = body_of(profile)
    rotations = rotations_deg(position.arc_start_deg, available_deg(profile, position))
    weight = arm_weight(body, position.abduction_deg, rotations)
    bands = [(grade, rubber_of(grade)) for grade in profile.bands]
    steps: list[LoadStep] = []
    refused: set[Refusal] = set()
    for distance_cm, pull in _pulls(profile, prescription, position, body, rotations):
        for grade, rubber in bands:
            for strands in profile.home.strands:
                found = _step(distance_cm, pull, weight, grade, rubber, strands, limits)
                if isinstance(found, LoadStep):
                    steps.append(found)
                else:
                    refused.add(found)
    if not steps:
        raise NoLoadStep(_why_none(profile, position, refused, limits))
    names = [grade.name for grade in profile.bands]
    steps.sort(key=lambda step: (step.mean_nm, names.index(step.grade), step.strands, step.distance_cm))
    return Ladder(position.abduction_deg, tuple(steps))


def _pulls(
    profile: Profile, prescription: Prescription, position: Position, body: Body, rotations: tuple[float, ...]
) -> list[tuple[int, LineOfPull]]:
    """The line of pull from every distance mark: the geometry that all bands share."""
    height_m = anchor_height_cm(profile, prescription, body, position) / 100
    turn_deg = body_turn_deg(prescription, position)
    home = profile.home
    found = []
    for distance_cm in range(home.nearest_cm, home.farthest_cm + 1, home.mark_every_cm):
        anchor = anchor_m(body, distance_cm / 100, height_m, turn_deg)
        found.append((distance_cm, line_of_pull(body, position.abduction_deg, position.plane_deg, anchor, rotations)))
    return found


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
    if band_j <= 0:
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


def _why_none(profile: Profile, position: Position, refused: set[Refusal], limits: Mapping[str, float]) -> str:
    """Why no step was found, and what would mend it."""
    over = f"stretches more than {limits['elongation_max'] * 100:.0f} % beyond its resting length"
    reasons: dict[frozenset[Refusal], str] = {
        frozenset({"slack"}): "every band is slack at the start of the arc: "
        "take a shorter band, or allow marks farther away",
        frozenset({"over"}): f"every band {over}: take a longer band, or allow marks nearer to the anchor",
        frozenset({"slack", "over"}): f"every band either is slack at the start of the arc or {over} further out: "
        "take a band of another length, allow marks farther away, or set the marks closer together",
    }
    why = reasons.get(
        frozenset(refused),
        "wherever a band is taut and below its ceiling it pulls the arm outwards instead of loading it: "
        "fix the anchor lower, or change the body turn",
    )
    marks = f"{profile.home.nearest_cm} to {profile.home.farthest_cm} cm from the anchor"
    return f"no load step at {position.abduction_deg} degrees, from the marks {marks}: {why}"


def next_step(ladder: Ladder, step: LoadStep, limits: Mapping[str, float]) -> LoadStep | None:
    """The smallest step up by load_rise_min or more; None where there is none.

    It is the smallest between load_rise_min and load_rise_max, and where there is none, the smallest above: then the
    repetitions begin again at the bottom. 2-10 %: ACSM position stand, Med Sci Sports Exerc 2009;41(3):687-708
    (abstract).
    """
    least_nm = step.mean_nm * (1 + limits["load_rise_min"])
    for other in ladder.steps:
        if other.mean_nm >= least_nm and other.mean_nm > step.mean_nm:
            return other
    return None


def easier_step(ladder: Ladder, step: LoadStep, limits: Mapping[str, float]) -> LoadStep | None:
    """The smallest step down by load_rise_min or more; None at the bottom."""
    most_nm = step.mean_nm * (1 - limits["load_rise_min"])
    for other in reversed(ladder.steps):
        if other.mean_nm <= most_nm and other.mean_nm < step.mean_nm:
            return other
    return None


def lighter_grade(ladder: Ladder, step: LoadStep) -> LoadStep | None:
    """The next lighter band at the same mark with as many strands; None where it is no load step there."""
    for other in reversed(ladder.steps):
        same_place = (other.strands, other.distance_cm) == (step.strands, step.distance_cm)
        if same_place and other.grade != step.grade and other.mean_nm < step.mean_nm:
            return other
    return None


def rungs(ladder: Ladder, step: LoadStep, limits: Mapping[str, float]) -> Rungs:
    """A step with its neighbours."""
    return Rungs(
        step=step,
        next_step=next_step(ladder, step, limits),
        easier=easier_step(ladder, step, limits),
        lighter=lighter_grade(ladder, step),
    )


def _same(ladder: Ladder, step: LoadStep | FirstStep) -> LoadStep | None:
    """The step of this ladder with the same grade, strands and distance; None where it has none."""
    for other in ladder.steps:
        if (other.grade, other.strands, other.distance_cm) == (step.grade, step.strands, step.distance_cm):
            return other
    return None


def find(ladder: Ladder, step: LoadStep) -> LoadStep:
    """The same step in this ladder, else the heaviest that is not above its torque, else the lowest."""
    same = _same(ladder, step)
    if same is not None:
        return same
    below = [other for other in ladder.steps if other.mean_nm <= step.mean_nm]
    return below[-1] if below else ladder.steps[0]


def first_step(
    ladder: Ladder, profile: Profile, prescription: Prescription, position: Position, limits: Mapping[str, float]
) -> LoadStep:
    """The step to begin with: the therapist's, else one from the newest measured strength, else the lowest.

    From strength it is the lowest step whose peak torque lies between first_step_low and first_step_high of the
    strength, where the infraspinatus works more than the deltoid: Bitter NL et al., J Shoulder Elbow Surg 2007
    (abstract). The lowest, because the load can rise at every session but a sore shoulder costs weeks.
    """
    if prescription.first_step is not None:
        chosen = _same(ladder, prescription.first_step)
        if chosen is not None:
            return chosen
    strength_nm = measured_strength_nm(profile, position)
    if strength_nm is not None:
        low_nm, high_nm = limits["first_step_low"] * strength_nm, limits["first_step_high"] * strength_nm
        for step in ladder.steps:
            if low_nm <= step.peak_nm <= high_nm:
                return step
    return ladder.steps[0]


def measured_strength_nm(profile: Profile, position: Position) -> float | None:
    """The newest measured strength in a position, force times lever; None where it was not measured."""
    measured = [strength for strength in profile.strengths if strength.position_deg == position.abduction_deg]
    if not measured:
        return None
    newest = max(measured, key=lambda strength: strength.on)
    return newest.force_n * newest.lever_m
