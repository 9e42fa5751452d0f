"""Sets of the program's own motions, played through MuJoCo to a sensor on the forearm, with the truth known.

The noise is that of a cheap phone: a bias of 0.5 degrees a second and of 0.02 g on each axis, a scale
1 % wrong, a strap up to 20 degrees
askew that gives way by up to 2 degrees, a trunk that turns, tremor, and speeds that no two repetitions share.
"""

import math
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

import mujoco
import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from scipy.ndimage import gaussian_filter1d
from scipy.spatial.transform import Rotation

from coach.mechanics.body import body_of
from coach.mechanics.motion.motions import motion_of
from coach.model.profile import Profile
from coach.motion_capture.recording import Recording, recording_of
from coach.motion_capture.results import Array, Asked
from coach.motion_capture.units import GRAVITY_M_S2
from coach.toml.reader import read_model
from tests.demo.pristine import DEMO
from tests.plans import shipped

RATE_HZ = 100.0
_STEP_S = 1 / RATE_HZ
ASKED = Asked(3.0, 2.0, 3.0, 2.0, 60.0, None, 0.0, shipped().limit_values({}))
GYRO_BIAS_RAD_S, GYRO_NOISE_RAD_S, GYRO_SCALE = math.radians(0.5), math.radians(0.1), 0.01
ACCELERATION_BIAS, ACCELERATION_NOISE = 0.02 * GRAVITY_M_S2, 0.005 * GRAVITY_M_S2
ASKEW_DEG, GIVES_DEG = 20.0, 2.0
SHORT_OF_WHOLE = 0.6
STILL_S, UNLOADED_S = 3.0, 6.0

Window = Literal["whole", "no_still_start", "no_unloaded", "begins_within", "ends_within", "both_within"]
"""Which part of it was recorded: all; from within the repetition without the band on; from the pause after it on;
from within the first or the second repetition of the set on; until within the last or the one before; or both."""

CHAIN = """
<mujoco>
  <compiler angle="radian"/>
  <default><joint armature="1"/></default>
  <option gravity="0 0 -{gravity}"><flag contact="disable"/></option>
  <worldbody><body name="trunk" pos="0 0 1.4">
    <inertial pos="0 0 0" mass="1" diaginertia="1 1 1"/><joint name="trunk" axis="0 0 1"/>
    <body name="arm">
      <inertial pos="0 0 0" mass="1" diaginertia="1 1 1"/>
      <joint name="lift" axis="{lift}"/><joint name="motion" axis="{axis}"/>
      <site name="sensor" pos="{place}" quat="{quat}"/>
    </body>
  </body></worldbody>
  <sensor><accelerometer site="sensor"/><gyro site="sensor"/></sensor>
</mujoco>
"""


class TrueRepetition(Struct, frozen=True):
    """When one repetition began, its seconds, its range in degrees, and by how much the elbow lifted in it."""

    began_s: float
    out_s: float
    hold_s: float
    back_s: float
    relax_s: float
    range_deg: float
    lifted_deg: float = 0.0

    @property
    def ways(self) -> tuple[tuple[float, float], ...]:
        """From when to when the way out and the way back went."""
        returns = self.began_s + self.out_s + self.hold_s
        return (self.began_s, self.began_s + self.out_s), (returns, returns + self.back_s)


@dataclass(frozen=True)
class Simulated:
    """A recording with its truth."""

    recording: Recording
    asked: Asked
    repetitions: tuple[TrueRepetition, ...]
    """Those of which the recording holds a way, as far as a way that is cut off is counted."""
    unloaded_deg: float
    drift_deg: float
    """From the way out of the first of these repetitions to the way back of the last."""


@dataclass(frozen=True)
class Person:
    """How a set is done."""

    position: str = "0"
    exercise: str = "external_rotation"
    side: str = "right"
    repetitions: int = 8
    lost_deg: float = 0.0
    drift_deg: float = 0.0
    hurried: float = 1.0
    """The seconds of each way as a part of those asked."""
    turned: bool = False
    """The sensor is strapped on upside down."""
    cheated: tuple[int, ...] = ()
    """The repetitions, from 0, that go 60 % of the way only."""
    sets: int = 1
    """With half a minute of rest between them, in which the arm hangs and swings a little."""
    lifts_deg: float = 0.0
    """By how much the upper arm lifts on the whole way out, and sinks on the way back."""
    lifts_in: tuple[int, ...] | None = None
    """The repetitions in which it does; None: in all of them."""
    jerky: bool = False
    """Each way comes to a halt half way."""
    window: Window = "whole"


@cache
def profile_of(side: str) -> Profile:
    """The demo client tern, with this arm."""
    profile = read_model(DEMO / "tern" / "profile.toml", Profile)
    return profile.model_copy(update={"side": side})


def simulate(person: Person, seed: int) -> Simulated:
    """A still start, one repetition without the band, a pause, and a set."""
    chance = np.random.default_rng(seed)
    exercise = shipped().exercises[person.exercise]
    position = next(one for one in exercise.positions if one.name == person.position)
    motion = motion_of(body_of(profile_of(person.side)), position)
    whole = position.available_deg - position.arc_start_deg - chance.uniform(0, 15)
    angle, truth, began = _played(person, whole, chance)
    rows, at = len(angle), np.arange(len(angle)) / RATE_HZ
    lift = drift = np.clip((at - began) / (at[-1] - began), 0, 1) * person.drift_deg
    lift = lift + _wander(rows, 0.5, chance) + _lifted(truth, at) * angle
    trunk = _wander(rows, 3.0, chance)
    mirror = np.array([1.0, -1.0 if person.side == "right" else 1.0, 1.0])
    start = motion.pose(position.arc_start_deg)
    forearm, moves, upper = (np.array(one) * mirror for one in (start.forearm, start.motion, start.upper_arm))
    axis = np.cross(forearm, moves)
    # Lifting the upper arm turns it about the horizontal line across it; hanging straight, about the forearm.
    across = np.cross(np.array([0.0, 0.0, 1.0]), upper)
    lifts = across / np.linalg.norm(across) if np.linalg.norm(across) > 0.02 else np.array([1.0, 0.0, 0.0])
    lifts = lifts * (1 if np.cross(lifts, upper)[2] > 0 else -1)
    sensor = _strapped(forearm, person, chance)
    place = upper * 0.3 + forearm * 0.15
    readings = _read_out((trunk, lift, angle), lifts, axis, place, sensor)
    time = np.arange(rows) / RATE_HZ
    acceleration, turning = _noisy(readings, forearm, sensor, chance)
    tilt = math.degrees(math.acos(min(abs(float(axis[2])), 1.0)))
    turns_up = (1 if axis[2] > 0 else -1) if abs(axis[2]) > 0.1 else None
    asked = replace(ASKED, turns_up=turns_up, axis_from_vertical_deg=tilt)
    rows_in = _window(person.window, truth, np.random.default_rng([seed, 1]))
    there = _held(truth, angle[rows_in], rows_in.start / RATE_HZ)
    middles = np.mean([there[0].ways[0], there[-1].ways[1]], axis=1)
    seen = np.interp(np.clip(middles, 0, len(angle[rows_in]) / RATE_HZ) + rows_in.start / RATE_HZ, at, drift)
    recording = recording_of(time[rows_in], acceleration[rows_in], turning[rows_in])
    return Simulated(recording, asked, there, whole, float(seen[1] - seen[0]))


def _lifted(truth: tuple[TrueRepetition, ...], at: Array) -> Array:
    """By how much the upper arm lifts for each degree of the turn, at each time."""
    number = np.searchsorted([one.began_s for one in truth], at, side="right")
    return np.array([0.0, *(one.lifted_deg / one.range_deg for one in truth)])[number]


def _window(window: Window, truth: tuple[TrueRepetition, ...], chance: np.random.Generator) -> slice:
    """The rows that are recorded."""
    first, last = chance.integers(2, size=2)
    begins, ends = truth[first], truth[-1 - last]
    within = {
        "no_still_start": STILL_S + chance.uniform(0.2, UNLOADED_S - 0.2),
        "no_unloaded": truth[0].began_s - chance.uniform(1, 5),
        "begins_within": begins.began_s + chance.uniform(0.1, 0.9) * (begins.ways[1][1] - begins.began_s),
    }
    within["both_within"] = within["begins_within"]
    until = ends.began_s + chance.uniform(0.1, 0.9) * (ends.ways[1][1] - ends.began_s)
    end = round(until * RATE_HZ) if window in ("ends_within", "both_within") else None
    return slice(round(within.get(window, 0.0) * RATE_HZ), end)


def _held(truth: tuple[TrueRepetition, ...], angle: Array, began: float) -> tuple[TrueRepetition, ...]:
    """The repetitions of which a recording from `began` on holds a way, with its clock."""
    least = ASKED.limits["measured_cut_off_of_usual"] * float(np.median([one.range_deg for one in truth]))
    moved = [replace(one, began_s=one.began_s - began) for one in truth]

    def turned(way: tuple[float, float]) -> float:
        rows = [min(max(round(at * RATE_HZ), 0), len(angle)) for at in way]
        return float(np.ptp(angle[slice(*rows)])) if rows[1] > rows[0] else 0.0

    return tuple(one for one in moved if max(map(turned, one.ways)) >= least)


def _played(
    person: Person, whole: float, chance: np.random.Generator
) -> tuple[Array, tuple[TrueRepetition, ...], float]:
    """The angle from its start over time, in degrees; the repetitions of the set; and when the set began."""
    unloaded = _one(whole, (2.5, 1.0, 2.5), chance)
    pieces = [np.zeros(int(STILL_S * RATE_HZ)), *unloaded, np.zeros(int(12 * RATE_HZ))]
    began = sum(map(len, pieces)) / RATE_HZ
    truth: list[TrueRepetition] = []
    for number in range(person.repetitions * person.sets):
        if number and number % person.repetitions == 0:
            pieces.append(_swinging(30.0))
        out, hold, back = (
            max(seconds * person.hurried * chance.uniform(0.7, 1.25), 0.5)
            for seconds in (ASKED.out_s, ASKED.hold_s, ASKED.back_s)
        )
        relax = ASKED.relax_s * chance.uniform(0.6, 1.3)
        deg = (whole - person.lost_deg + chance.normal(0, 2.0)) * (SHORT_OF_WHOLE if number in person.cheated else 1)
        at = sum(map(len, pieces)) / RATE_HZ
        pieces += [*_one(deg, (out, hold, back), chance, person.jerky), np.zeros(round(relax * RATE_HZ))]
        lifts = person.lifts_deg * deg / whole if person.lifts_in is None or number in person.lifts_in else 0.0
        # A way of some rows takes a step less, and the pause after it one more.
        out, hold, back, relax = out - _STEP_S, hold + _STEP_S, back - _STEP_S, relax + _STEP_S
        truth.append(TrueRepetition(at, out, hold, back, relax, deg, lifts))
    pieces.append(np.zeros(int(4 * RATE_HZ)))
    angle = gaussian_filter1d(np.concatenate(pieces), 0.04 * RATE_HZ)
    tremor = gaussian_filter1d(chance.normal(0, 1, len(angle)), 0.02 * RATE_HZ)
    return np.asarray(angle + 0.08 * tremor / tremor.std()), tuple(truth), began


def _swinging(seconds: float) -> Array:
    """A rest in which the arm swings by a few degrees, twelve times in its middle."""
    t = np.linspace(0, 1, round(seconds * RATE_HZ))
    return np.asarray(4 * np.sin(2 * np.pi * 24 * t) * (abs(t - 0.5) < 0.25))


def _one(
    deg: float, seconds: tuple[float, float, float], chance: np.random.Generator, jerky: bool = False
) -> list[Array]:
    out, hold, back = seconds
    ways = [_jerked(each, chance) if jerky else _eased(each, chance) for each in (out, back)]
    return [deg * ways[0], np.full(round(hold * RATE_HZ), deg), deg * ways[1][::-1]]


def _jerked(seconds: float, chance: np.random.Generator) -> Array:
    """From 0 to 1 with a halt in the middle."""
    half = _eased(seconds * 0.4, chance) / 2
    return np.concatenate([half, np.full(round(seconds * 0.2 * RATE_HZ), 0.5), 0.5 + half])


def _eased(seconds: float, chance: np.random.Generator) -> Array:
    """From 0 to 1: between one speed with short ramps and the smoothest way there is, with an uneven pace."""
    t = np.linspace(0, 1, max(round(seconds * RATE_HZ), 2))
    ramp = chance.uniform(0.1, 0.3)
    even = np.cumsum(np.minimum(1, np.minimum(t, 1 - t) / ramp))
    smooth = t**3 * (10 - 15 * t + 6 * t**2)
    mixed = chance.uniform(0, 1)
    way = mixed * even / even[-1] + (1 - mixed) * smooth
    speed = np.gradient(way) * (1 + 0.15 * np.sin(2 * np.pi * (chance.uniform(0.5, 2) * t + chance.uniform(0, 1))))
    return np.asarray(np.cumsum(speed) / speed.sum())


def _wander(rows: int, deg: float, chance: np.random.Generator) -> Array:
    slow = gaussian_filter1d(chance.normal(0, 1, rows), 4 * RATE_HZ)
    return np.asarray(deg * slow / slow.std())


def _strapped(forearm: Array, person: Person, chance: np.random.Generator) -> Rotation:
    """The sensor: its first axis along the forearm, any way around it, and askew."""
    along = Rotation.align_vectors([forearm], [[1.0, 0.0, 0.0]])[0]
    around = Rotation.from_rotvec(forearm * (chance.uniform(-0.5, 0.5) + (np.pi if person.turned else 0)))
    direction = chance.normal(0, 1, 3)
    askew = math.radians(chance.uniform(0, ASKEW_DEG)) * direction / np.linalg.norm(direction)
    return around * along * Rotation.from_rotvec(askew)


def _read_out(angles: tuple[Array, Array, Array], lifts: Array, axis: Array, place: Array, sensor: Rotation) -> Array:
    x, y, z, w = sensor.as_quat()
    text = CHAIN.format(
        gravity=GRAVITY_M_S2, lift=_words(lifts), axis=_words(axis), place=_words(place), quat=f"{w} {x} {y} {z}"
    )
    model: Any = mujoco.MjModel.from_xml_string(text)
    data: Any = mujoco.MjData(model)
    position = np.radians(np.column_stack(angles))
    speed = np.gradient(position, 1 / RATE_HZ, axis=0)
    change = np.gradient(speed, 1 / RATE_HZ, axis=0)
    readings = np.empty((len(position), 6))
    for row in range(len(position)):
        data.qpos, data.qvel, data.qacc = position[row], speed[row], change[row]
        mujoco.mj_inverse(model, data)
        readings[row] = data.sensordata
    return readings


def _noisy(readings: Array, forearm: Array, sensor: Rotation, chance: np.random.Generator) -> tuple[Array, Array]:
    """The readings as a cheap sensor gives them, its strap giving way around the forearm during the recording."""
    around = sensor.inv().apply(forearm)
    gives = np.linspace(0, math.radians(chance.uniform(-GIVES_DEG, GIVES_DEG)), len(readings))
    slips = Rotation.from_rotvec(np.outer(gives, around))
    shape = (len(readings), 3)
    acceleration = slips.apply(readings[:, :3]) + chance.normal(0, ACCELERATION_BIAS, 3)
    turning = slips.apply(readings[:, 3:]) * chance.normal(1, GYRO_SCALE, 3) + chance.normal(0, GYRO_BIAS_RAD_S, 3)
    return (
        acceleration + chance.normal(0, ACCELERATION_NOISE, shape),
        turning + chance.normal(0, GYRO_NOISE_RAD_S, shape),
    )


def _words(values: Array) -> str:
    return " ".join(f"{value:.9f}" for value in values)
