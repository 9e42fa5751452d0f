"""The setup of a load step as JSON: every number needed to recompute the load with other tools.

Units stand in the names of the keys. Frame: x forward, w outward to the exercising side, z up; origin on the floor
between the feet; points in metres. Rotation in degrees in the direction of the exercise, 0 with the forearm pointing
forward.
The law of one strand: T = a (s - 1/s^2) + b (1 - 1/s^3) newtons at s = length x strands / resting length, and 0 for
s <= 1; all strands together pull with T times their number. Torque of the band: grip lever x tension
x (-v . r) / |r|, with r from hand to anchor. Torque of the arm's weight: what gravity at the forearm's centre of mass
does about u.
"""

import json
from collections.abc import Sequence

from msgspec.structs import asdict

from coach.mechanics.anchor_placement import AnchorPlacement
from coach.mechanics.arm import elevation_deg
from coach.mechanics.band import rubber_of
from coach.mechanics.body import body_of
from coach.mechanics.motion.motion import GRAVITY_M_S2
from coach.mechanics.setup import Sensitivity, Setup
from coach.mechanics.setup_alternatives import AlternativeSetup, find_alternatives
from coach.mechanics.torque import Arc, torque_time_nms
from coach.model.band import BandGrade
from coach.model.exercise import Coordinate
from coach.session.phrases import setup_of
from coach.session.plan import Plan

_Json = dict[str, object]

_ALONG: dict[Coordinate, str] = {"angle": "deg", "path": "cm"}
_UNIT: dict[Coordinate, str] = {"angle": "nm", "path": "n"}
_MARKS = ("nearest_cm", "farthest_cm", "mark_every_cm", "strands")
_LOAD_LIMITS = ("taut_at_start", "elongation_max", "load_rise_min", "load_rise_max")


def setup_json(plan: Plan) -> str:
    """The load step of the plan as JSON; of the person it contains only pseudonym, lengths and mass."""
    return json.dumps({"format": 1, **_of_plan(plan)}, indent=1, allow_nan=False) + "\n"


def setups_json(plans: Sequence[Plan]) -> str:
    """As `setup_json`, of the exercises of a programme in a list, each with its name there."""
    exercises = [{"name": plan.name, **_of_plan(plan)} for plan in plans]
    return json.dumps({"format": 2, "exercises": exercises}, indent=1, allow_nan=False) + "\n"


def _of_plan(plan: Plan) -> _Json:
    setup = setup_of(plan, plan.step)
    profile = plan.profile
    priced = find_alternatives(profile, plan.prescription, plan.position, plan.step, plan.limits)
    return {
        "profile": profile.name,
        "side": profile.side,
        "exercise": plan.prescription.exercise,
        "gravity_m_s2": GRAVITY_M_S2,
        "position": _position(plan, setup.arc),
        "body": _body(plan),
        "setup": _setup(setup),
        "place": _place(setup.placement),
        "other_places": [_option(one) for one in (*priced.heights, *priced.turns)],
        "bands": [_band(grade) for grade in profile.bands],
        "load": _load(plan, setup.arc),
        "degrees": _degrees(setup),
        "limits": {name: plan.limits[name] for name in _LOAD_LIMITS},
        "marks": {key: getattr(profile.home, key) for key in _MARKS},
        "ladder": [{**step.model_dump(), "now": step == plan.step} for step in plan.ladder.steps],
        "wrong_by": [_sensitivity(one) for one in setup.sensitivities],
    }


def _position(plan: Plan, arc: Arc) -> _Json:
    return {
        "abduction_deg": plan.position.abduction_deg,
        "elbow_gap_cm": plan.position.elbow_gap_cm,
        "elevation_deg": elevation_deg(body_of(plan.profile), plan.position),
        "plane_deg": plan.position.plane_deg,
        "direction": plan.position.direction,
        "anchor_side": plan.position.anchor_side,
        "anchor": plan.position.anchor,
        f"arc_start_{_ALONG[arc.coordinate]}": arc.q[0],
        f"arc_end_{_ALONG[arc.coordinate]}": arc.q[-1],
    }


def _body(plan: Plan) -> _Json:
    body = body_of(plan.profile)
    whole = {"stature_m": plan.profile.stature_m, "mass_kg": plan.profile.mass_kg}
    return {**whole, **asdict(body), "mass_lever_m": body.mass_lever_m}


def _place(placement: AnchorPlacement) -> _Json:
    return {
        "anchor_height_cm": placement.anchor_height_cm,
        "body_turn_deg": placement.body_turn_deg,
        "why": placement.why,
        "landmark_cm": placement.landmark_cm,
        "instead_of_cm": placement.instead_of_cm,
        "highest_cm": placement.highest_cm,
    }


def _setup(setup: Setup) -> _Json:
    return {
        "band": setup.step.grade,
        "strands": setup.step.strands,
        "distance_cm": setup.distance_cm,
        "anchor_height_cm": setup.anchor_height_cm,
        "body_turn_deg": setup.body_turn_deg,
        "anchor_m": setup.anchor_m,
        "elongation_start": setup.arc.elongation[0],
        "elongation_end": setup.arc.elongation[-1],
    }


def _sensitivity(wrong: Sensitivity) -> _Json:
    return {
        "what": wrong.what,
        "change": wrong.change,
        "mean_change": wrong.mean_change,
        "trouble": wrong.problem,
    }


def _option(option: AlternativeSetup) -> _Json:
    """An alternative setup at the mark with the nearest mean torque; null values if there is none."""
    arc = option.arc
    unit = _UNIT[arc.coordinate] if arc else "nm"
    return {
        "anchor_height_cm": option.anchor_height_cm,
        "body_turn_deg": option.body_turn_deg,
        "at_home": option.at_home,
        "now": option.in_use,
        "distance_cm": option.step.distance_cm if option.step else None,
        f"mean_{unit}": arc.mean_nm if arc else None,
        f"start_{unit}": arc.start_nm if arc else None,
        f"end_{unit}": arc.end_nm if arc else None,
        "kept": arc.evenness if arc else None,
        "elongation_start": arc.elongation[0] if arc else None,
        "elongation_max": max(arc.elongation) if arc else None,
    }


def _band(grade: BandGrade) -> _Json:
    rubber = rubber_of(grade)
    return {
        "name": grade.name,
        "resting_length_m": grade.resting_length_m,
        "a_n": rubber.a_n,
        "b_n": rubber.b_n,
        "guess": rubber.guess,
        "measured_to_elongation": rubber.measured_to,
        "points": [point.model_dump() for point in grade.points],
    }


def _load(plan: Plan, arc: Arc) -> _Json:
    tempo, unit = plan.prescription.dose.tempo, _UNIT[arc.coordinate]
    return {
        "unit": plan.position.load_unit,
        f"start_{unit}": arc.start_nm,
        f"peak_{unit}": arc.peak_nm,
        f"peak_at_{_ALONG[arc.coordinate]}": arc.peak_at,
        f"mean_{unit}": arc.mean_nm,
        f"mean_low_{unit}": plan.step.low_nm,
        f"mean_high_{unit}": plan.step.high_nm,
        f"end_{unit}": arc.end_nm,
        "work_j": arc.work_j,
        "extrapolated": arc.extrapolated,
        "repetitions": plan.repetitions,
        "tempo": tempo.model_dump(),
        f"torque_time_{unit}s" if unit == "nm" else "force_time_ns": torque_time_nms(arc, tempo, plan.repetitions),
    }


def _degrees(setup: Setup) -> list[_Json]:
    """Pose, band and load at each degree of the angle or centimetre of the path; an angle is called rotation_deg."""
    arc, unit = setup.arc, _UNIT[setup.arc.coordinate]
    along, load = ("path_cm", "force_n") if arc.coordinate == "path" else ("rotation_deg", "torque_nm")
    found: list[_Json] = []
    for index, rotation in enumerate(arc.q):
        now = setup.motion.pose(rotation)
        found.append(
            {
                along: rotation,
                "shoulder_m": now.shoulder_m,
                "elbow_m": now.elbow_m,
                "hand_m": now.hand_m,
                "axis_u": now.upper_arm,
                "motion_v": now.motion,
                "length_m": arc.length_m[index],
                "elongation": arc.elongation[index],
                "tension_n": arc.tension_n[index],
                "along_path" if arc.coordinate == "path" else "moment_arm_m": arc.per_newton[index],
                f"band_{unit}": arc.band_nm[index],
                f"arm_weight_{unit}": arc.arm_nm[index],
                load: arc.torque_nm[index],
            }
        )
    return found
