"""The load once more from the JSON alone, with NumPy and the formulas of the mechanics; nothing of coach is used.

u = -cos a z + sin a e, e = cos p w + sin p x; forearm d = cos t f + sin t g with f = cos p x - sin p w and
g = cos a e + sin a z; hand = shoulder + upper arm u + grip lever d; T = a (s - s^-2) + b (1 - s^-3).
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.polynomial.legendre import leggauss
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Recomputed:
    """One value or one row for each rotation."""

    elbow_m: Array
    hand_m: Array
    axis_u: Array
    motion_v: Array
    length_m: Array
    elongation: Array
    tension_n: Array
    band_nm: Array
    arm_weight_nm: Array

    @property
    def torque_nm(self) -> Array:
        """Band and arm weight together."""
        return self.band_nm + self.arm_weight_nm


def recompute(data: dict[str, Any], rotations_deg: Array, step: dict[str, Any], **wrong: float) -> Recomputed:
    """The load of a step of the ladder at these rotations.

    `wrong` adds to distance_cm, height_cm, turn_deg, gap_cm or elevation_deg.
    """
    body, position, setup = data["body"], data["position"], data["setup"]
    x, w, z = np.eye(3)
    p = np.radians(position["plane_deg"])
    gap_m = (position["elbow_gap_cm"] + wrong.get("gap_cm", 0.0)) / 100
    a = np.radians(position["abduction_deg"] + wrong.get("elevation_deg", 0.0)) + np.arcsin(
        gap_m / body["upper_arm_m"]
    )
    t = np.radians(rotations_deg)[:, None]
    e = np.cos(p) * w + np.sin(p) * x
    u = -np.cos(a) * z + np.sin(a) * e
    f, g = np.cos(p) * x - np.sin(p) * w, np.cos(a) * e + np.sin(a) * z
    forearm, motion = np.cos(t) * f + np.sin(t) * g, -np.sin(t) * f + np.cos(t) * g
    shoulder = body["half_biacromial_m"] * w + body["shoulder_height_m"] * z
    elbow = shoulder + body["upper_arm_m"] * u
    hand = elbow + body["grip_lever_m"] * forearm
    bearing = np.radians(setup["body_turn_deg"] + wrong.get("turn_deg", 0.0))
    distance = (step["distance_cm"] + wrong.get("distance_cm", 0.0)) / 100
    height = (setup["anchor_height_cm"] + wrong.get("height_cm", 0.0)) / 100
    r = distance * (np.cos(bearing) * x - np.sin(bearing) * w) + height * z - hand
    length = np.linalg.norm(r, axis=1)
    band = next(band for band in data["bands"] if band["name"] == step["grade"])
    s = np.maximum(length * step["strands"] / band["resting_length_m"], 1.0)
    tension = step["strands"] * (band["a_n"] * (s - s**-2) + band["b_n"] * (1 - s**-3))
    weight = np.array([0.0, 0.0, -body["forearm_mass_kg"] * data["gravity_m_s2"]])
    # Outward rotation turns the forearm towards its motion, so its axis is their cross product; the client does the
    # negative of what gravity does about it.
    outward = np.cross(forearm, motion)
    moment = np.sum(np.cross(body["mass_lever_m"] * forearm, weight) * outward, axis=1)
    return Recomputed(
        elbow_m=np.broadcast_to(elbow, hand.shape),
        hand_m=hand,
        axis_u=np.broadcast_to(u, hand.shape),
        motion_v=motion,
        length_m=length,
        elongation=length * step["strands"] / band["resting_length_m"] - 1,
        tension_n=tension,
        band_nm=body["grip_lever_m"] * tension * np.sum(-motion * r, axis=1) / length,
        arm_weight_nm=-moment,
    )


def mean_nm(data: dict[str, Any], step: dict[str, Any], **wrong: float) -> float:
    """The mean torque of a step over the arc, by Gauss-Legendre quadrature."""
    nodes, weights = leggauss(60)
    start, end = data["position"]["arc_start_deg"], data["position"]["arc_end_deg"]
    rotations = (start + end) / 2 + (end - start) / 2 * nodes
    return float(np.sum(weights * recompute(data, rotations, step, **wrong).torque_nm) / 2)
