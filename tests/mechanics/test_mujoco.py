"""Torque of band and arm weight against MuJoCo: its joints, its tendon, its gravity, its own geometry."""

import math
import random
from typing import Any, Literal

import mujoco
import numpy as np
import pytest
from msgspec import Struct
from msgspec.structs import replace

from coach.content_files.content_folder import content_folder, load_content
from coach.mechanics.anchor import anchor_m
from coach.mechanics.arm import raise_arm, raise_arm_to
from coach.mechanics.band import Rubber
from coach.mechanics.body import Body
from coach.mechanics.motion.motion import GRAVITY_M_S2
from coach.mechanics.torque import Arc, arm_weight, line_of_pull, load_of
from coach.model.exercise import AnchorSide
from coach.model.option_names import Direction

# World: x forward, y to the client's left, z up. The arm hangs with the elbow straight; three hinges at the shoulder
# (plane of elevation, abduction, rotation about the long axis) and one at the elbow make the pose. Every place is
# away from its frame's origin, because MuJoCo takes a short cut for those that are not; each case then sets its own.
# Armature keeps the inertia well-behaved and does not enter static forces.
ARM = f"""
<mujoco>
  <compiler angle="radian"/>
  <default><joint type="hinge" armature="1"/></default>
  <option gravity="0 0 -{GRAVITY_M_S2}" timestep="0.001"><flag contact="disable"/></option>
  <worldbody>
    <site name="anchor" pos="1 1 1"/>
    <body name="upper_arm" pos="0 0.2 1.4">
      <inertial pos="0 0 0" mass="1e-3" diaginertia="1e-3 1e-3 1e-3"/>
      <joint name="plane" axis="0 0 1"/>
      <joint name="abduction" axis="1 0 0"/>
      <joint name="rotation" axis="0 0 1"/>
      <body name="forearm" pos="0 0 -0.3">
        <inertial pos="0 0 -0.1" mass="1" diaginertia="1e-3 1e-3 1e-3"/>
        <joint name="elbow" axis="0 1 0"/>
        <site name="hand" pos="0 0 -0.3"/>
      </body>
    </body>
  </worldbody>
  <tendon><spatial name="band"><site site="anchor"/><site site="hand"/></spatial></tendon>
  <actuator><motor name="pull" tendon="band"/></actuator>
</mujoco>
"""


class Case(Struct, frozen=True):
    """One random client, position, rotation, anchor and band."""

    side: Literal["left", "right"]
    direction: Direction
    anchor_side: AnchorSide
    body: Body
    abduction_deg: float
    plane_deg: float
    rotation_deg: float
    distance_m: float
    height_m: float
    turn_deg: float
    rubber: Rubber
    rest_m: float
    strands: int


def _random_case(chance: random.Random) -> Case:
    upper_arm, forearm = chance.uniform(0.25, 0.40), chance.uniform(0.2, 0.3)
    return Case(
        side=chance.choice(("left", "right")),
        direction=chance.choice(("external", "internal")),
        anchor_side=chance.choice(("other", "exercising")),
        body=Body(
            shoulder_height_m=chance.uniform(1.0, 1.7),
            half_biacromial_m=chance.uniform(0.15, 0.25),
            upper_arm_m=upper_arm,
            grip_lever_m=chance.uniform(0.25, 0.40),
            forearm_m=forearm,
            foot_m=0.26,
            forearm_mass_kg=chance.uniform(0.8, 3.0),
            forearm_balance=chance.uniform(0.5, 0.8),
            upper_arm_mass_kg=2.0,
            upper_arm_balance=0.436,
        ),
        abduction_deg=chance.uniform(0, 90),
        plane_deg=chance.uniform(0, 90),
        rotation_deg=chance.uniform(-60, 100),
        distance_m=chance.uniform(0.6, 3.0),
        height_m=chance.uniform(0.0, 2.2),
        turn_deg=chance.uniform(-30, 180),
        rubber=Rubber(a_n=chance.uniform(0, 30), b_n=chance.uniform(0, 30), guess=False, measured_to=2.0),
        rest_m=chance.uniform(0.3, 1.0),
        strands=chance.choice((1, 2)),
    )


def _ours(case: Case) -> Arc:
    rotations = (case.rotation_deg, case.rotation_deg + 1)
    anchor = anchor_m(case.body, case.distance_m, case.height_m, case.turn_deg, case.anchor_side)
    arm = raise_arm(case.body, case.abduction_deg, case.plane_deg, case.direction)
    pull, weight = line_of_pull(arm, anchor, rotations), arm_weight(arm, rotations)
    return load_of(pull, weight, case.rubber, case.rest_m, case.strands)


def _theirs(model: Any, data: Any, case: Case) -> tuple[float, float, float]:
    """Length, torque of the band and torque of the arm's weight to be resisted, from MuJoCo."""
    left = 1.0 if case.side == "left" else -1.0
    turns = left if case.direction == "external" else -left
    turn = math.radians(case.turn_deg if case.anchor_side == "exercising" else -case.turn_deg)
    ahead, aside = case.distance_m * math.cos(turn), case.distance_m * math.sin(turn)
    model.site("anchor").pos[:] = (ahead, left * aside, case.height_m)
    model.body("upper_arm").pos[:] = (0.0, left * case.body.half_biacromial_m, case.body.shoulder_height_m)
    model.body("forearm").pos[:] = (0.0, 0.0, -case.body.upper_arm_m)
    model.body("forearm").ipos[:] = (0.0, 0.0, -case.body.forearm_balance * case.body.forearm_m)
    model.body("forearm").mass[:] = case.body.forearm_mass_kg
    model.site("hand").pos[:] = (0.0, 0.0, -case.body.grip_lever_m)
    data.joint("plane").qpos[:] = -left * math.radians(case.plane_deg)
    data.joint("abduction").qpos[:] = left * math.radians(case.abduction_deg)
    data.joint("rotation").qpos[:] = turns * math.radians(case.rotation_deg)
    data.joint("elbow").qpos[:] = -math.pi / 2
    data.qvel[:] = 0.0
    mujoco.mj_forward(model, data)
    length = float(data.tendon("band").length[0])
    data.actuator("pull").ctrl[:] = -_tension_n(case, length)
    mujoco.mj_forward(model, data)
    joint = model.joint("rotation").dofadr[0]
    # The muscle must give the opposite of the band's push on the joint, and all of what holds the forearm up.
    return length, -turns * float(data.qfrc_actuator[joint]), turns * float(data.qfrc_bias[joint])


def _tension_n(case: Case, length: float) -> float:
    """The rubber law written out for one strand, times the strands."""
    stretch = length / (case.rest_m / case.strands)
    one_strand = case.rubber.a_n * (stretch - stretch**-2) + case.rubber.b_n * (1 - stretch**-3)
    return case.strands * max(one_strand, 0.0)


def test_two_thousand_random_cases_on_both_sides_in_both_directions() -> None:
    """Length, band torque and weight torque to 1e-12 of their largest possible value in the pose."""
    model = mujoco.MjModel.from_xml_string(ARM)
    data = mujoco.MjData(model)
    chance = random.Random(20260304)
    kinds = set()
    loaded = 0
    for _ in range(2000):
        case = _random_case(chance)
        ours = _ours(case)
        length, band_nm, arm_nm = _theirs(model, data, case)
        kinds.add((case.side, case.direction, case.anchor_side))
        loaded += ours.tension_n[0] > 0
        most_nm = case.body.grip_lever_m * ours.tension_n[0]
        lift_nm = case.body.forearm_mass_kg * GRAVITY_M_S2 * case.body.mass_lever_m
        assert ours.length_m[0] == pytest.approx(length, rel=1e-12), case
        assert ours.band_nm[0] == pytest.approx(band_nm, rel=1e-12, abs=1e-12 * most_nm), case
        assert ours.arm_nm[0] == pytest.approx(arm_nm, rel=1e-12, abs=1e-12 * lift_nm), case
    assert len(kinds) == 8
    assert loaded > 1800
    assert np.isfinite(data.qfrc_bias).all()


def test_every_shipped_position_as_it_is_held_with_the_gap_at_the_elbow() -> None:
    """Every whole degree of the arc, for three bodies on both sides, to 1e-12 of the largest possible torque."""
    model = mujoco.MjModel.from_xml_string(ARM)
    data = mujoco.MjData(model)
    gaps, compared, chance = 0, 0, random.Random(20260305)
    for exercise in load_content(content_folder(), "en").exercises.values():
        for position in filter(lambda one: one.rotates, exercise.positions):
            gaps += position.elbow_gap_cm > 0
            for _ in range(6):
                case = _random_case(chance)
                arm = raise_arm_to(case.body, position)
                rotations = tuple(
                    float(at) for at in range(round(position.arc_start_deg), round(position.available_deg))
                )
                anchor = anchor_m(
                    case.body, case.distance_m, case.height_m, position.body_turn_deg, position.anchor_side
                )
                ours = load_of(
                    line_of_pull(arm, anchor, rotations),
                    arm_weight(arm, rotations),
                    case.rubber,
                    case.rest_m,
                    case.strands,
                )
                lifted = math.asin(position.elbow_gap_cm / 100 / case.body.upper_arm_m)
                held = replace(
                    case,
                    direction=position.direction,
                    anchor_side=position.anchor_side,
                    abduction_deg=position.abduction_deg + math.degrees(lifted),
                    plane_deg=position.plane_deg,
                    turn_deg=position.body_turn_deg,
                )
                lift_nm = case.body.forearm_mass_kg * GRAVITY_M_S2 * case.body.mass_lever_m
                for index in range(0, len(rotations), 7):
                    theirs = _theirs(model, data, replace(held, rotation_deg=rotations[index]))
                    most_nm = case.body.grip_lever_m * ours.tension_n[index]
                    assert ours.length_m[index] == pytest.approx(theirs[0], rel=1e-12)
                    assert ours.band_nm[index] == pytest.approx(theirs[1], rel=1e-12, abs=1e-12 * most_nm)
                    assert ours.arm_nm[index] == pytest.approx(theirs[2], rel=1e-12, abs=1e-12 * lift_nm)
                    compared += 1
    assert gaps == 2
    assert compared > 250
