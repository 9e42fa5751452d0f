"""Where the anchor should be: its height and the body turn that keep the load through the arc.

The landmark and the body turn of a position are common practice and stand first. Among the heights at home the one
nearest to the landmark is taken, but none from which the band would run the wrong way; and of the nearest below and
the nearest above it the farther one where it keeps the load clearly better at the same mean torque. What the
therapist fixed is taken as it is.

Common practice, no source: at 90 degrees the band runs downward to the anchor, at 0 degrees level. Ours: it runs
downward to an anchor no higher than the elbow of an arm at the side, which is an upper arm below the hand.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from statistics import fmean
from typing import Literal

from coach.mechanics.body import body_of, landmark_height_m
from coach.mechanics.load_steps import marks_at_home, steps_at
from coach.mechanics.torque import Arc, arc_at
from coach.model.exercise import Position
from coach.model.load_step import ChosenStep, LoadStep
from coach.model.prescription import FixedSetup, Prescription
from coach.model.profile import Profile

WhyHeight = Literal["fixed", "nearest", "downward", "not_downward", "kept"]
"""Fixed by the therapist; nearest to the landmark; nearest of those from which the band runs downward; none at home
lets it run downward, so the lowest; keeps the load clearly better than the one nearest to the landmark."""


@dataclass(frozen=True)
class Place:
    """Where the anchor is, and why."""

    anchor_height_cm: int
    body_turn_deg: float
    why: WhyHeight
    landmark_cm: int
    """The height of the landmark that the position asks for."""
    instead_of_cm: int | None = None
    """The height nearer to the landmark that was passed over; None where none was."""
    highest_cm: int | None = None
    """The highest from which the band runs the way it must; None where any height does."""


def place_of(profile: Profile, prescription: Prescription, position: Position, limits: Mapping[str, float]) -> Place:
    """The place of the anchor for a position: what the therapist fixed, else what keeps the load."""
    return place_with(prescription.fixed(position.abduction_deg), profile, position, limits)


def place_with(fixed: FixedSetup, profile: Profile, position: Position, limits: Mapping[str, float]) -> Place:
    """The same with this much of the setup fixed."""
    landmark_m = landmark_height_m(body_of(profile), profile, position.anchor_landmark)
    turn_deg = position.body_turn_deg if fixed.body_turn_deg is None else fixed.body_turn_deg
    if fixed.anchor_height_cm is not None:
        return Place(fixed.anchor_height_cm, turn_deg, "fixed", round(landmark_m * 100))
    by_nearness = sorted(profile.home.anchor_heights_cm, key=lambda height_cm: abs(height_cm - landmark_m * 100))
    highest_cm = math.floor(body_of(profile).elbow_height_m * 100) if position.band_runs == "downward" else None
    height_cm, why = _chosen(by_nearness, landmark_m * 100, highest_cm, profile, position, turn_deg, limits)
    passed_over = by_nearness[0] if by_nearness[0] != height_cm else None
    return Place(height_cm, turn_deg, why, round(landmark_m * 100), passed_over, highest_cm)


def _chosen(
    by_nearness: list[int],
    landmark_cm: float,
    highest_cm: int | None,
    profile: Profile,
    position: Position,
    turn_deg: float,
    limits: Mapping[str, float],
) -> tuple[int, WhyHeight]:
    """One of the heights at home, nearest to the landmark first, and why it is that one."""
    if position.band_runs == "level":
        return by_nearness[0], "nearest"
    allowed = [height_cm for height_cm in by_nearness if highest_cm is None or height_cm <= highest_cm]
    if not allowed:
        return min(by_nearness), "not_downward"
    below = next((height_cm for height_cm in allowed if height_cm <= landmark_cm), None)
    above = next((height_cm for height_cm in allowed if height_cm > landmark_cm), None)
    beside = [height_cm for height_cm in allowed if height_cm in (below, above)]
    best = _keeps_best(beside, profile, position, turn_deg, limits) if len(beside) > 1 else beside[0]
    if best != allowed[0]:
        return best, "kept"
    return best, "nearest" if best == by_nearness[0] else "downward"


def _keeps_best(
    heights_cm: list[int], profile: Profile, position: Position, turn_deg: float, limits: Mapping[str, float]
) -> int:
    """The first height with a load step, or the one that keeps the load better by the limit kept_gain_min."""
    marks = marks_at_home(profile.home)
    steps = {height: steps_at(profile, position, marks, height, turn_deg, limits).steps for height in heights_cm}
    usable = [height for height in heights_cm if steps[height]]
    if not usable:
        return heights_cm[0]
    first = usable[0]
    mean_nm = steps[first][len(steps[first]) // 2].mean_nm
    kept = {
        height: _kept(profile, position, steps[height], mean_nm, height, turn_deg, limits["load_rise_max"])
        for height in usable
    }
    best = max(usable, key=lambda height: kept[height])
    return best if kept[best] - kept[first] >= limits["kept_gain_min"] else first


def _kept(
    profile: Profile,
    position: Position,
    steps: tuple[LoadStep, ...],
    mean_nm: float,
    height_cm: int,
    turn_deg: float,
    near: float,
) -> float:
    """How well the load is kept at a mean torque, on average over the bands; 0 where none comes near it."""
    nearest: dict[tuple[str, int], LoadStep] = {}
    for step in sorted(steps, key=lambda step: -abs(step.mean_nm - mean_nm)):
        if abs(step.mean_nm / mean_nm - 1) <= near:
            nearest[step.grade, step.strands] = step
    arcs = [arc_at(profile, position, step, step.distance_cm, height_cm, turn_deg) for step in nearest.values()]
    return fmean(arc.kept for arc in arcs) if arcs else 0.0


def marks_of(profile: Profile, prescription: Prescription, position: Position) -> tuple[int, ...]:
    """Where the client may stand: the distance the therapist fixed, else every mark at home."""
    fixed_cm = prescription.fixed(position.abduction_deg).distance_cm
    return marks_at_home(profile.home) if fixed_cm is None else (fixed_cm,)


def arc_of(
    profile: Profile,
    prescription: Prescription,
    position: Position,
    step: LoadStep | ChosenStep,
    limits: Mapping[str, float],
) -> Arc:
    """The load of a load step through the client's arc. Raises ValueError for a band not on the shelf."""
    place = place_of(profile, prescription, position, limits)
    return arc_at(profile, position, step, step.distance_cm, place.anchor_height_cm, place.body_turn_deg)
