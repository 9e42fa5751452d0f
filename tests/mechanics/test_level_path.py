"""The hand on a level line: against MuJoCo's slide with the arm closed by a loop, and by virtual work."""

import math
import random
from functools import partial
from typing import Any

import mujoco
import numpy as np
import pytest
from msgspec.structs import replace
from scipy.integrate import quad

from coach.mechanics.anchor import anchor_m
from coach.mechanics.band import Rubber, energy_j, tension_n
from coach.mechanics.body import Body
from coach.mechanics.motion.level_path import LevelPath
from coach.mechanics.motion.motion import GRAVITY_M_S2
from coach.mechanics.torque import Arc, arm_weight, line_of_pull, load_of
from coach.mechanics.vector import Vector, minus, size

# The hand on a slide along x with the band as a tendon; and the arm, two hinges from the shoulder, whose torques
# under gravity are read where the hand is. The force along the slide that holds the arm is the one whose work on the
# hand's motion is that of both hinges.
SLIDE = f"""
<mujoco>
  <compiler angle="radian"/>
  <option gravity="0 0 -{GRAVITY_M_S2}" timestep="0.001"><flag contact="disable"/></option>
  <worldbody>
    <site name="anchor" pos="1 1 1"/>
    <body name="grip" pos="0.3 0.2 1.1">
      <inertial pos="0 0 0" mass="1e-9" diaginertia="1e-3 1e-3 1e-3"/>
      <joint name="way" type="slide" axis="1 0 0" armature="1"/>
      <site name="hand" pos="0 0 0"/>
    </body>
    <body name="upper_arm" pos="0 0.2 1.4">
      <inertial pos="0 0 -0.1" mass="1" diaginertia="1e-3 1e-3 1e-3"/>
      <joint name="shoulder" type="hinge" axis="0 1 0" armature="1"/>
      <body name="forearm" pos="0 0 -0.3">
        <inertial pos="0 0 -0.1" mass="1" diaginertia="1e-3 1e-3 1e-3"/>
        <joint name="elbow" type="hinge" axis="0 1 0" armature="1"/>
        <site name="end" pos="0 0 -0.3"/>
      </body>
    </body>
  </worldbody>
  <tendon><spatial name="band"><site site="anchor"/><site site="hand"/></spatial></tendon>
  <actuator><motor name="pull" tendon="band"/></actuator>
</mujoco>
"""


def _body(chance: random.Random) -> Body:
    return Body(
        shoulder_height_m=chance.uniform(1.0, 1.7),
        half_biacromial_m=chance.uniform(0.15, 0.25),
        upper_arm_m=chance.uniform(0.25, 0.40),
        grip_lever_m=chance.uniform(0.25, 0.40),
        forearm_m=chance.uniform(0.2, 0.3),
        foot_m=0.26,
        forearm_mass_kg=chance.uniform(0.8, 3.0),
        forearm_balance=chance.uniform(0.5, 0.8),
        upper_arm_mass_kg=chance.uniform(1.0, 4.0),
        upper_arm_balance=chance.uniform(0.35, 0.55),
    )


def _case(chance: random.Random) -> tuple[LevelPath, float, Vector, Rubber, float]:
    path = LevelPath(_body(chance), presses=chance.random() < 0.5, higher_m=chance.uniform(-0.03, 0.03))
    anchor = anchor_m(path.body, chance.uniform(0.7, 3.0), chance.uniform(0.0, 2.2), chance.uniform(0, 180), "other")
    rubber = Rubber(a_n=chance.uniform(0, 30), b_n=chance.uniform(0, 30), guess=False, measured_to=2.0)
    return path, chance.uniform(0, path.farthest), anchor, rubber, chance.uniform(0.2, 0.7)


def _ours(path: LevelPath, values: tuple[float, ...], anchor: Vector, rubber: Rubber, rest_m: float) -> Arc:
    return load_of(line_of_pull(path, anchor, values), arm_weight(path, values), rubber, rest_m, 1)


def _force_n(path: LevelPath, anchor: Vector, rubber: Rubber, rest_m: float, q: float) -> float:
    return _ours(path, (q, q + 0.01), anchor, rubber, rest_m).torque_nm[0]


def _theirs(
    model: Any, data: Any, path: LevelPath, q: float, anchor: Vector, rubber: Rubber, rest_m: float
) -> tuple[float, float, float]:
    """Length, force of the band and force of the arm's weight to be resisted along the line, from MuJoCo."""
    body, hand, elbow = path.body, path.hand_m(q), path.pose(q).elbow_m
    shoulder = np.array([0.0, body.half_biacromial_m, body.shoulder_height_m])
    model.site("anchor").pos[:] = anchor
    model.body("grip").pos[:] = (0.0, hand[1], hand[2])
    model.body("upper_arm").pos[:] = shoulder
    model.body("upper_arm").ipos[:] = (0.0, 0.0, -body.upper_arm_balance * body.upper_arm_m)
    model.body("upper_arm").mass[:] = body.upper_arm_mass_kg
    model.body("forearm").pos[:] = (0.0, 0.0, -body.upper_arm_m)
    model.body("forearm").ipos[:] = (0.0, 0.0, -body.forearm_balance * body.forearm_m)
    model.body("forearm").mass[:] = body.forearm_mass_kg
    model.site("end").pos[:] = (0.0, 0.0, -body.grip_lever_m)
    # A positive turn about y swings what hangs backward.
    first = math.atan2(-(elbow[0] - shoulder[0]), -(elbow[2] - shoulder[2]))
    second = math.atan2(-(hand[0] - elbow[0]), -(hand[2] - elbow[2])) - first
    data.joint("way").qpos[:] = hand[0]
    data.joint("shoulder").qpos[:] = first
    data.joint("elbow").qpos[:] = second
    data.qvel[:] = 0.0
    mujoco.mj_forward(model, data)
    assert np.allclose(data.site("end").xpos, data.site("hand").xpos, atol=1e-12)
    length = float(data.tendon("band").length[0])
    data.actuator("pull").ctrl[:] = -tension_n(rubber, rest_m, length)
    mujoco.mj_forward(model, data)
    way, hinges = model.joint("way").dofadr[0], [model.joint(name).dofadr[0] for name in ("shoulder", "elbow")]
    moves = np.zeros((3, model.nv))
    mujoco.mj_jacSite(model, data, moves, None, model.site("end").id)
    ahead = 1.0 if path.presses else -1.0
    turned = np.linalg.solve(moves[np.ix_([0, 2], hinges)], [ahead, 0.0])
    return length, -ahead * float(data.qfrc_actuator[way]), float(turned @ data.qfrc_bias[hinges])


def test_a_thousand_random_cases_against_a_slide() -> None:
    """Length to 1e-12; forces to 1e-9 of the tension, or of the weight of the arm."""
    model = mujoco.MjModel.from_xml_string(SLIDE)
    data = mujoco.MjData(model)
    chance, loaded, pressed = random.Random(20261130), 0, 0
    for _ in range(1000):
        path, q, anchor, rubber, rest_m = _case(chance)
        ours = _ours(path, (q, q + 0.01), anchor, rubber, rest_m)
        length, band_n, arm_n = _theirs(model, data, path, q, anchor, rubber, rest_m)
        weight_n = GRAVITY_M_S2 * (path.body.upper_arm_mass_kg + path.body.forearm_mass_kg)
        loaded += ours.tension_n[0] > 0
        pressed += path.presses
        assert ours.length_m[0] == pytest.approx(length, rel=1e-12)
        assert ours.band_nm[0] == pytest.approx(band_n, rel=1e-9, abs=1e-9 * ours.tension_n[0])
        assert ours.arm_nm[0] == pytest.approx(arm_n, rel=1e-9, abs=1e-9 * weight_n)
    assert loaded > 900
    assert 400 < pressed < 600


def test_virtual_work_of_a_row() -> None:
    """A small step of the hand costs what band and arm store, and the lengths of the arm do not change."""
    chance = random.Random(20261201)
    for _ in range(100):
        path, q, anchor, rubber, rest_m = _case(chance)
        step_cm = 1e-3
        stored = [
            energy_j(rubber, rest_m, size(minus(anchor, path.hand_m(at)))) + path.energy_j(at)
            for at in (q - step_cm, q + step_cm)
        ]
        ours = _ours(path, (q, q + 1), anchor, rubber, rest_m)
        assert ours.torque_nm[0] == pytest.approx((stored[1] - stored[0]) / (2 * step_cm / 100), rel=1e-6, abs=1e-5)
        pose = path.pose(q)
        assert size(minus(pose.elbow_m, pose.shoulder_m)) == pytest.approx(path.body.upper_arm_m)
        assert size(minus(pose.hand_m, pose.elbow_m)) == pytest.approx(path.body.grip_lever_m)


def test_the_mean_force_is_the_integral_over_the_path() -> None:
    chance = random.Random(20261202)
    for _ in range(20):
        path, _, anchor, rubber, rest_m = _case(chance)
        values = (0.0, path.farthest)
        whole = _ours(path, values, anchor, rubber, rest_m)
        force_n = partial(_force_n, path, anchor, rubber, rest_m)
        work = quad(force_n, *values)[0] / 100
        assert whole.work_j == pytest.approx(work, rel=1e-6, abs=1e-7)
        assert whole.mean_nm == pytest.approx(work / (path.farthest / 100), rel=1e-6, abs=1e-5)


def test_the_line_ends_at_the_trunk_and_the_weight_helps_on_the_way_there() -> None:
    body = _body(random.Random(1))
    pull, press = LevelPath(body), LevelPath(body, presses=True)
    end = pull.pose(pull.farthest)
    assert end.elbow_m[0] == pytest.approx(0.0, abs=0.002)
    assert end.elbow_m[2] == pytest.approx(body.elbow_height_m, abs=1e-4)
    assert pull.hand_m(0.0)[2] == pytest.approx(body.elbow_height_m)
    assert pull.weight(5.0) < 0
    assert press.weight(5.0) > 0
    assert press.hand_m(0.0) == pytest.approx(pull.hand_m(pull.farthest), abs=0.002)


def test_derivatives_by_pose_and_lever_are_those_of_the_moved_motion() -> None:
    chance = random.Random(20261203)
    for _ in range(50):
        path, q, *_ = _case(chance)
        moved = path.held_otherwise(1e-5)
        for mine, there, here in zip(path.hand_by_pose(q), moved.hand_m(q), path.hand_m(q), strict=True):
            assert mine == pytest.approx((there - here) / 1e-5, abs=2e-3)
        assert path.energy_by_pose(q) == pytest.approx((moved.energy_j(q) - path.energy_j(q)) / 1e-5, abs=2e-2)
        longer = path.with_body(replace(path.body, grip_lever_m=path.body.grip_lever_m + 1e-5))
        assert path.hand_by_lever(q)[0] == pytest.approx((longer.hand_m(q)[0] - path.hand_m(q)[0]) / 1e-5, abs=2e-3)
