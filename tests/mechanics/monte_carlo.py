"""The mean torque of load steps by Monte Carlo in NumPy: the whole model again, with every input drawn.

JCGM 101:2008. Nothing of `coach.mechanics` is called but the published body fractions: fit, geometry, energy and
weight are written out for arrays.
"""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from coach.mechanics.anchor import Anchor
from coach.mechanics.body import body_of
from coach.mechanics.motion.motion import GRAVITY_M_S2
from coach.mechanics.torque import available_deg
from coach.model.band import BandGrade
from coach.model.exercise import Position
from coach.model.load_step import LoadStep
from coach.model.profile import Profile

Floats = NDArray[np.float64]


def fit(grade: BandGrade, limits: Mapping[str, float], draws: int, chance: np.random.Generator) -> tuple[Floats, ...]:
    """The constants a and b and the resting length of a band, each fitted to its own draw of every reading."""
    length = np.array([point.length_m for point in grade.points])
    force = np.array([point.force_n for point in grade.points])
    lengths = length + limits["u_point_length_m"] * chance.standard_normal((draws, length.size))
    forces = force + limits["u_scale_n"] * chance.standard_normal((draws, force.size))
    rest = grade.resting_length_m + limits["u_resting_length_m"] * chance.standard_normal(draws)
    s = lengths / rest[:, None]
    p, q = s - s**-2, 1 - s**-3
    if len(grade.points) == 1:
        share = chance.uniform(0, 1, draws)
        return (1 - share) * forces[:, 0] / p[:, 0], share * forces[:, 0] / q[:, 0], rest
    pp, qq, pq = (p * p).sum(1), (q * q).sum(1), (p * q).sum(1)
    pf, qf = (p * forces).sum(1), (q * forces).sum(1)
    det = pp * qq - pq * pq
    a, b = (pf * qq - qf * pq) / det, (qf * pp - pf * pq) / det
    inside, a_explains = (a >= 0) & (b >= 0), pf * pf / pp > qf * qf / qq
    a_alone, b_alone = np.maximum(pf / pp, 0), np.maximum(qf / qq, 0)
    return (
        np.where(inside, a, np.where(a_explains, a_alone, 0.0)),
        np.where(inside, b, np.where(a_explains, 0.0, b_alone)),
        rest,
    )


def mean_torques(
    profile: Profile,
    position: Position,
    anchor: Anchor,
    steps: tuple[LoadStep, ...],
    limits: Mapping[str, float],
    draws: int,
    seed: int = 20260304,
) -> Floats:
    """Mean torques in newton metres, shape (steps, draws): common errors drawn once, the feet for each step."""
    chance = np.random.default_rng(seed)
    body, measured = body_of(profile), profile.lengths.grip_lever_m is not None

    def normal(u: float) -> Floats:
        return u * chance.standard_normal(draws)

    lever = body.grip_lever_m + normal(limits["u_lever_m" if measured else "u_lever_from_stature_m"])
    mass = body.forearm_mass_kg * (1 + normal(limits["u_arm_mass"]))
    mark, height = normal(limits["u_mark_m"]), anchor.height_cm / 100 + normal(limits["u_anchor_height_m"])
    turn = np.radians(anchor.body_turn_deg + normal(limits["u_body_turn_deg"]))
    if position.elbow_gap_cm:
        gap = position.elbow_gap_cm / 100 + normal(limits["u_elbow_gap_m"])
        lifted = np.arcsin(np.clip(gap / body.upper_arm_m, -1, 1))
    else:
        lifted = np.radians(position.abduction_deg + normal(limits["u_elevation_deg"]))
    plane = np.radians(position.plane_deg)
    across = np.array([np.sin(plane), np.cos(plane), 0.0])[:, None]
    up = np.array([0.0, 0.0, 1.0])[:, None]
    upper_arm = np.sin(lifted) * across - np.cos(lifted) * up
    outward = np.cos(lifted) * across + np.sin(lifted) * up
    toward = outward if position.direction == "external" else -outward
    forward = np.array([np.cos(plane), -np.sin(plane), 0.0])[:, None]
    shoulder = np.array([0.0, body.half_biacromial_m, body.shoulder_height_m])[:, None]
    elbow = shoulder + body.upper_arm_m * upper_arm
    ends = np.radians([position.arc_start_deg, available_deg(profile, position)])
    hands = [elbow + lever * (np.cos(end) * forward + np.sin(end) * toward) for end in ends]
    weight = mass * GRAVITY_M_S2 * body.mass_lever_m * toward[2] * (np.sin(ends[1]) - np.sin(ends[0]))
    aside = 1.0 if position.anchor_side == "exercising" else -1.0
    bands = {band.name: fit(band, limits, draws, chance) for band in profile.bands}
    found = np.empty((len(steps), draws))
    for index, step in enumerate(steps):
        a, b, rest = bands[step.grade]
        distance = step.distance_cm / 100 + mark + normal(limits["u_feet_m"])
        point = np.array([distance * np.cos(turn), aside * distance * np.sin(turn), height])
        stored = []
        for hand in hands:
            s = np.maximum(np.linalg.norm(point - hand, axis=0) * step.strands / rest, 1.0)
            stored.append(rest * (a * (s * s / 2 + 1 / s - 1.5) + b * (s + 1 / (2 * s * s) - 1.5)))
        found[index] = (stored[1] - stored[0] + weight) / (ends[1] - ends[0])
    return found
