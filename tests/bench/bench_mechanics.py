"""Time of one torque curve and one whole ladder with the interval of each step, beside NumPy without intervals.

Run: python tests/bench/bench_mechanics.py

Both sides compute length, moment arm, tension and torque at every degree; the ladder does so for 3 grades, 2 strands
and 40 distances, and keeps the steps that are taut at the start and below the ceiling.
"""

import sys
import time
import timeit
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from coach.mechanics.anchor import Anchor, anchor_m
from coach.mechanics.arm import raise_arm
from coach.mechanics.band import rubber_of
from coach.mechanics.body import body_of
from coach.mechanics.ladder import build_ladder
from coach.mechanics.motion.motion import GRAVITY_M_S2
from coach.mechanics.torque import arc_at
from coach.model.load_step import ChosenStep
from tests.mechanics.clients import AT_45, LIMITS, prescription, profile

CLIENT = profile(rest_m=1.2, strands=(1, 2), nearest_cm=60, farthest_cm=255)
PLAN = prescription()
WIDE = AT_45.model_copy(update={"arc_start_deg": -90.0, "available_deg": 90.0})
STEP = ChosenStep(grade="medium", strands=1, distance_cm=150)
HEIGHT_CM = 90


def curve() -> int:
    """One curve of 181 angles, from the profile on: fit of the band, body, pose and load."""
    return len(arc_at(CLIENT, WIDE, STEP, STEP.distance_cm, Anchor(HEIGHT_CM, 45.0)).band_nm)


def ladder() -> int:
    """One whole ladder of 240 candidates."""
    return len(build_ladder(CLIENT, PLAN, AT_45, LIMITS).steps)


def _numpy_torques(rotations_deg: np.ndarray, distances_m: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Elongation and torque, shape (grade, strands, distance, rotation)."""
    body, place = body_of(CLIENT), AT_45
    arm = raise_arm(body, place.abduction_deg, place.plane_deg, place.direction)
    anchors = np.array(
        [anchor_m(body, distance, HEIGHT_CM / 100, 45.0, place.anchor_side) for distance in distances_m]
    )
    angle = np.radians(rotations_deg)[:, None]
    forward, outward, elbow = np.array(arm.forward), np.array(arm.toward), np.array(arm.elbow_m)
    forearm = np.cos(angle) * forward + np.sin(angle) * outward
    motion = -np.sin(angle) * forward + np.cos(angle) * outward
    pull = anchors[:, None, :] - (elbow + body.grip_lever_m * forearm)[None, :, :]
    length = np.linalg.norm(pull, axis=-1)
    moment_arm = -body.grip_lever_m * (pull * motion).sum(axis=-1) / length
    rubbers = [rubber_of(band) for band in CLIENT.bands]
    a = np.array([rubber.a_n for rubber in rubbers])[:, None, None, None]
    b = np.array([rubber.b_n for rubber in rubbers])[:, None, None, None]
    rest = np.array([band.resting_length_m for band in CLIENT.bands])[:, None, None, None]
    strands = np.array([1, 2])[None, :, None, None]
    stretch = length[None, None] * strands / rest
    tension = np.where(stretch > 1, strands * (a * (stretch - stretch**-2) + b * (1 - stretch**-3)), 0.0)
    lift = body.forearm_mass_kg * GRAVITY_M_S2 * body.mass_lever_m * arm.toward[2]
    return stretch - 1, tension * moment_arm + lift * np.cos(angle[:, 0])


def numpy_curve() -> int:
    """The same curve in NumPy (three grades at once come at little cost there)."""
    return len(_numpy_torques(np.arange(-90.0, 91.0), np.array([1.5]))[1].T)


def numpy_ladder() -> int:
    """The same ladder in NumPy, as arrays: no load step is made of them."""
    rotations = np.arange(AT_45.arc_start_deg, AT_45.available_deg + 1)
    stretched, torque = _numpy_torques(rotations, np.arange(60, 256, 5) / 100)
    fits = (stretched[..., 0] >= LIMITS["taut_at_start"]) & (stretched.max(axis=-1) <= LIMITS["elongation_max"])
    return len(np.sort(torque.mean(axis=-1)[fits]))


def _best_ms(work: Callable[[], int], times: int) -> float:
    return min(timeit.repeat(work, timer=time.process_time, number=times, repeat=7)) / times * 1000


def main() -> None:
    """Print both times of one core and their ratio, and how many steps the ladder has."""
    print(
        f"240 candidates, of which {ladder()} are steps of the ladder; at most 60 ms are wanted with their intervals"
    )
    assert ladder() == numpy_ladder()
    assert curve() == numpy_curve() == 181
    for name, ours, theirs, times in (("curve", curve, numpy_curve, 50), ("ladder", ladder, numpy_ladder, 5)):
        ours_ms, theirs_ms = _best_ms(ours, times), _best_ms(theirs, times)
        print(f"{name}: {ours_ms:.3f} ms, NumPy {theirs_ms:.3f} ms, ratio {ours_ms / theirs_ms:.1f}")


if __name__ == "__main__":
    main()
