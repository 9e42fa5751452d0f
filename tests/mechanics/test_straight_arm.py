"""The straight arm raised or lowered: against MuJoCo's hinge, by energy, and the weight of the arm by hand."""

import math
import random
from dataclasses import dataclass
from typing import Any, Literal

import mujoco
import pytest
from scipy.integrate import quad

from coach.mechanics.anchor import Anchor, anchor_m
from coach.mechanics.band import Rubber, tension_n
from coach.mechanics.body import Body
from coach.mechanics.motion.motion import GRAVITY_M_S2
from coach.mechanics.motion.straight_arm import StraightArm
from coach.mechanics.torque import Arc, arm_weight, line_of_pull, load_of
from coach.mechanics.vector import Vector

# World: x forward, y to the client's left, z up. The arm hangs; one hinge turns it to its plane of elevation, one
# raises it. Its two parts have their own masses, the band is a tendon.
ARM = f"""
<mujoco>
  <compiler angle="radian"/>
  <default><joint type="hinge" armature="1"/></default>
  <option gravity="0 0 -{GRAVITY_M_S2}" timestep="0.001"><flag contact="disable"/></option>
  <worldbody>
    <site name="anchor" pos="1 1 1"/>
    <body name="turned" pos="0 0.2 1.4">
      <inertial pos="0 0 0" mass="1e-9" diaginertia="1e-3 1e-3 1e-3"/>
      <joint name="plane" axis="0 0 1"/>
      <body name="upper_arm" pos="0 0 0">
        <inertial pos="0 0 -0.1" mass="1" diaginertia="1e-3 1e-3 1e-3"/>
        <joint name="raise" axis="1 0 0"/>
        <body name="forearm" pos="0 0 -0.3">
          <inertial pos="0 0 -0.1" mass="1" diaginertia="1e-3 1e-3 1e-3"/>
          <site name="hand" pos="0 0 -0.3"/>
        </body>
      </body>
    </body>
  </worldbody>
  <tendon><spatial name="band"><site site="anchor"/><site site="hand"/></spatial></tendon>
  <actuator><motor name="pull" tendon="band"/></actuator>
</mujoco>
"""


@dataclass(frozen=True)
class Case:
    """One random client, plane, angle, anchor and band."""

    side: Literal["left", "right"]
    motion: StraightArm
    q: float
    anchor: Vector
    rubber: Rubber
    rest_m: float


def _random_case(chance: random.Random) -> Case:
    body = Body(
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
    on_foot = chance.random() < 0.5
    fixed = anchor_m(body, chance.uniform(0.5, 3.0), chance.uniform(0.0, 2.2), chance.uniform(-30, 180), "other")
    return Case(
        side=chance.choice(("left", "right")),
        motion=StraightArm(body, chance.uniform(0, 90), lowers=chance.random() < 0.5),
        q=chance.uniform(0, 90),
        anchor=Anchor(0, 0, "foot").point_m(body, 20, "exercising") if on_foot else fixed,
        rubber=Rubber(a_n=chance.uniform(0, 30), b_n=chance.uniform(0, 30), guess=False, measured_to=2.0),
        rest_m=chance.uniform(0.3, 1.0),
    )


def _ours(case: Case, values: tuple[float, ...]) -> Arc:
    pull = line_of_pull(case.motion, case.anchor, values)
    return load_of(pull, arm_weight(case.motion, values), case.rubber, case.rest_m, 1)


def _theirs(model: Any, data: Any, case: Case) -> tuple[float, float, float]:
    """Length, torque of the band and torque of the arm's weight to be resisted, from MuJoCo."""
    left, body = (1.0 if case.side == "left" else -1.0), case.motion.body
    ahead, outward, up = case.anchor
    model.site("anchor").pos[:] = (ahead, left * outward, up)
    model.body("turned").pos[:] = (0.0, left * body.half_biacromial_m, body.shoulder_height_m)
    model.body("upper_arm").ipos[:] = (0.0, 0.0, -body.upper_arm_balance * body.upper_arm_m)
    model.body("upper_arm").mass[:] = body.upper_arm_mass_kg
    model.body("forearm").pos[:] = (0.0, 0.0, -body.upper_arm_m)
    model.body("forearm").ipos[:] = (0.0, 0.0, -body.forearm_balance * body.forearm_m)
    model.body("forearm").mass[:] = body.forearm_mass_kg
    model.site("hand").pos[:] = (0.0, 0.0, -body.grip_lever_m)
    raised = math.radians(90 - case.q if case.motion.lowers else case.q)
    data.joint("plane").qpos[:] = -left * math.radians(case.motion.plane_deg)
    data.joint("raise").qpos[:] = left * raised
    data.qvel[:] = 0.0
    mujoco.mj_forward(model, data)
    length = float(data.tendon("band").length[0])
    data.actuator("pull").ctrl[:] = -tension_n(case.rubber, case.rest_m, length)
    mujoco.mj_forward(model, data)
    joint, way = model.joint("raise").dofadr[0], left * (-1.0 if case.motion.lowers else 1.0)
    return length, -way * float(data.qfrc_actuator[joint]), way * float(data.qfrc_bias[joint])


def test_a_thousand_random_cases_against_a_hinge() -> None:
    """Length to 1e-12; torques to 1e-9 of their largest possible value in the pose (1e-9 kg sit at the shoulder)."""
    model = mujoco.MjModel.from_xml_string(ARM)
    data = mujoco.MjData(model)
    chance, kinds, loaded = random.Random(20261128), set(), 0
    for _ in range(1000):
        case = _random_case(chance)
        ours = _ours(case, (case.q, case.q + 1))
        length, band_nm, arm_nm = _theirs(model, data, case)
        body = case.motion.body
        most_nm, lift_nm = body.arm_lever_m * ours.tension_n[0], GRAVITY_M_S2 * body.arm_mass_moment_kg_m
        kinds.add((case.side, case.motion.lowers, case.anchor[2] == 0))
        loaded += ours.tension_n[0] > 0
        assert ours.length_m[0] == pytest.approx(length, rel=1e-12), case
        assert ours.band_nm[0] == pytest.approx(band_nm, rel=1e-9, abs=1e-9 * most_nm), case
        assert ours.arm_nm[0] == pytest.approx(arm_nm, rel=1e-9, abs=1e-9 * lift_nm), case
    assert len(kinds) == 8
    assert loaded > 900


def test_the_mean_is_the_integral_of_the_load_over_the_angle() -> None:
    chance = random.Random(20261129)
    for _ in range(20):
        case = _random_case(chance)
        values = (10.0, 80.0)
        whole = _ours(case, values)
        work, _ = quad(
            lambda q, case=case: math.radians(_ours(case, (q, q + 1)).torque_nm[0]), *values, epsabs=1e-10, limit=200
        )
        assert whole.work_j == pytest.approx(work, rel=1e-6, abs=1e-8)
        assert whole.mean_nm == pytest.approx(work / math.radians(70), rel=1e-6, abs=1e-8)


def test_the_arm_alone_at_shoulder_height_by_hand() -> None:
    """75 kg and 1.75 m: forearm and hand 0.022 of the mass at 0.682 of the forearm from the elbow (Winter, read).

    The upper arm has 0.028 of the mass at 0.436 of its length from the shoulder (Winter, from memory). Lengths: upper
    arm 0.191 and forearm 0.146 of stature.

    upper arm: 2.10 kg x 0.436 x 0.33425 m = 0.30603 kg m
    forearm and hand: 1.65 kg x (0.33425 + 0.682 x 0.2555) m = 1.65 x 0.50850 = 0.83903 kg m
    together 1.14506 kg m x 9.80665 m/s2 = 11.229 Nm
    """
    body = Body(
        shoulder_height_m=1.435,
        half_biacromial_m=0.2,
        upper_arm_m=0.33425,
        grip_lever_m=0.3477,
        forearm_m=0.2555,
        foot_m=0.266,
        forearm_mass_kg=1.65,
        forearm_balance=0.682,
        upper_arm_mass_kg=2.10,
        upper_arm_balance=0.436,
    )
    arm = StraightArm(body, 30.0)
    assert arm.weight(90.0) == pytest.approx(11.229, abs=0.001)
    assert arm.weight(30.0) == pytest.approx(11.229 / 2, abs=0.001)  # the sine of 30 degrees is one half
    assert arm.weight(0.0) == pytest.approx(0.0, abs=1e-12)
    assert StraightArm(body, 30.0, lowers=True).weight(0.0) == pytest.approx(-11.229, abs=0.001)
