"""The load through the arc: what band and arm weight resist at each degree or centimetre of the motion.

The load is the generalised force along the coordinate q of a motion: tension times -(dr/dq . pull), with r the hand
and pull the unit vector from the hand to the anchor, plus dE/dq of the arm's potential energy. Along an angle it is a
torque in newton metres, along a path a force in newtons; fields that end in _nm hold whichever it is.

The load of a step is the band's together with the arm's own weight. The weight is
the same on every step of a ladder, so the order is that of the band; but a rise of 10 % is a rise of what the cuff
feels, and a measured strength is compared with all that it has to carry.
"""

import math
from collections.abc import Sequence
from functools import lru_cache

from msgspec import Struct

from coach.mechanics.anchor import Anchor
from coach.mechanics.band import Rubber, elongation, energy_j, extrapolated, rubber_of, tension_n
from coach.mechanics.body import body_of
from coach.mechanics.motion.motion import PER_UNIT, Motion
from coach.mechanics.motion.motions import hand_along, motion_of
from coach.mechanics.vector import Vector
from coach.model.band import BandGrade
from coach.model.exercise import Coordinate, Position
from coach.model.load_step import ChosenStep, LoadStep
from coach.model.no_session import NoSession
from coach.model.prescription import Tempo
from coach.model.profile import Profile


class NoArc(NoSession):
    """The available range ends before the arc starts."""


class LineOfPull(Struct, frozen=True):
    """The straight line from anchor to hand at each value of the coordinate, the same for every band."""

    q: tuple[float, ...]
    length_m: tuple[float, ...]
    per_newton: tuple[float, ...]
    """What the client must resist for each newton of tension: the moment arm in metres, or the part of the tension
    that runs along the path; negative where the pull helps."""
    coordinate: Coordinate = "angle"

    @property
    def span(self) -> float:
        """From the start to the end of the arc, in radians or in metres."""
        return (self.q[-1] - self.q[0]) * PER_UNIT[self.coordinate]


class ArmWeight(Struct, frozen=True):
    """The load of the arm's own weight at each value of the coordinate, and the work of lifting it on the arc."""

    torque_nm: tuple[float, ...]
    work_j: float


class Arc(Struct, frozen=True):
    """The load at each degree or centimetre of the client's arc; every tuple has one value for each of them."""

    q: tuple[float, ...]
    length_m: tuple[float, ...]
    per_newton: tuple[float, ...]
    elongation: tuple[float, ...]
    tension_n: tuple[float, ...]
    band_nm: tuple[float, ...]
    arm_nm: tuple[float, ...]
    work_j: float
    """Work of one repetition on the way out, against band and arm weight; given back on the way back."""
    extrapolated: bool
    """Whether the band is stretched beyond its measured points anywhere on the arc."""
    coordinate: Coordinate

    @property
    def torque_nm(self) -> tuple[float, ...]:
        """What the client must resist: band and arm weight together."""
        return tuple(band + arm for band, arm in zip(self.band_nm, self.arm_nm, strict=True))

    @property
    def mean_nm(self) -> float:
        """The mean load over the arc: work over the angle or the path, so without any error of a sum."""
        return self.work_j / ((self.q[-1] - self.q[0]) * PER_UNIT[self.coordinate])

    @property
    def peak_nm(self) -> float:
        """The largest torque on the arc."""
        return max(self.torque_nm)

    @property
    def peak_at(self) -> float:
        """The value of the coordinate at which the load is largest."""
        return self.q[self.torque_nm.index(self.peak_nm)]

    @property
    def evenness(self) -> float:
        """The lowest torque on the arc over the largest: 1 where the load is the same throughout."""
        return min(self.torque_nm) / self.peak_nm

    @property
    def start_nm(self) -> float:
        """The torque at the start of the arc."""
        return self.band_nm[0] + self.arm_nm[0]

    @property
    def end_nm(self) -> float:
        """The torque at the end of the available range."""
        return self.band_nm[-1] + self.arm_nm[-1]


def available_deg(profile: Profile, position: Position) -> float:
    """The end of the client's arc, in degrees or centimetres: measured, else the published range of the position.

    It is never beyond where the motion ends in any case: shoulder height, or the line of the trunk.
    """
    measured = profile.available_deg(position.name, position.direction)
    available = position.available_deg if measured is None else measured
    return available if position.rotates else min(available, motion_of(body_of(profile), position).farthest)


def values_between(start: float, end: float, coordinate: Coordinate = "angle") -> tuple[float, ...]:
    """Values of the coordinate: every degree or centimetre from the start of the arc, and its end.

    Raises NoArc where the arc would end before it starts.
    """
    if end <= start:
        unit = "cm" if coordinate == "path" else "degrees"
        raise NoArc(
            f"the available range ends at {end:g} {unit}, where the arc starts at {start:g}: "
            "measure the range again, or leave this position out"
        )
    whole = math.ceil(end - start)
    return (*(start + step for step in range(whole)), end)


def line_of_pull(motion: Motion, anchor: Vector, values: Sequence[float]) -> LineOfPull:
    """Length and load for each newton at each value of q, for an anchor in the body frame in metres."""
    return pull_along(hand_along(motion, tuple(values)), anchor, tuple(values), motion.coordinate)


def pull_along(
    hands: Sequence[tuple[Vector, Vector]], anchor: Vector, values: tuple[float, ...], coordinate: Coordinate
) -> LineOfPull:
    """As `line_of_pull`, from the hand and its change with q at each of the values."""
    x, w, z = anchor
    lengths: list[float] = []
    per_newton: list[float] = []
    for (hand_x, hand_w, hand_z), (by_q_x, by_q_w, by_q_z) in hands:
        ahead, outward, up = x - hand_x, w - hand_w, z - hand_z
        length = math.sqrt(ahead * ahead + outward * outward + up * up)
        along = by_q_x * ahead + by_q_w * outward + by_q_z * up
        lengths.append(length)
        per_newton.append(-along / length if length > 0 else 0.0)
    return LineOfPull(values, tuple(lengths), tuple(per_newton), coordinate)


def arm_weight(motion: Motion, values: Sequence[float]) -> ArmWeight:
    """The load of the arm's own weight along the motion; negative where the weight helps."""
    return _arm_weight(motion, tuple(values))


@lru_cache(maxsize=32)
def _arm_weight(motion: Motion, values: tuple[float, ...]) -> ArmWeight:
    loads = tuple(motion.weight(q) for q in values)
    return ArmWeight(loads, motion.energy_j(values[-1]) - motion.energy_j(values[0]))


def load_of(pull: LineOfPull, weight: ArmWeight, rubber: Rubber, resting_length_m: float, strands: int) -> Arc:
    """The load of one band along a line of pull."""
    tensions = tuple(tension_n(rubber, resting_length_m, length, strands) for length in pull.length_m)
    stretched = tuple(elongation(resting_length_m, length, strands) for length in pull.length_m)
    return Arc(
        q=pull.q,
        length_m=pull.length_m,
        per_newton=pull.per_newton,
        elongation=stretched,
        tension_n=tensions,
        band_nm=tuple(tension * arm for tension, arm in zip(tensions, pull.per_newton, strict=True)),
        arm_nm=weight.torque_nm,
        work_j=band_work_j(pull, rubber, resting_length_m, strands) + weight.work_j,
        extrapolated=extrapolated(rubber, max(stretched)),
        coordinate=pull.coordinate,
    )


def band_work_j(pull: LineOfPull, rubber: Rubber, resting_length_m: float, strands: int) -> float:
    """Work on the band from the start to the end of the arc: the energy stored at the end less that at the start."""
    start = energy_j(rubber, resting_length_m, pull.length_m[0], strands)
    return energy_j(rubber, resting_length_m, pull.length_m[-1], strands) - start


def arc_at(
    profile: Profile,
    position: Position,
    step: LoadStep | ChosenStep,
    distance_cm: float,
    anchor: Anchor,
    held_otherwise_rad: float | None = None,
) -> Arc:
    """The load of a step's band and strands `distance_cm` away from an anchor, whatever the distance of the step.

    `held_otherwise_rad` is by how much the arm is held otherwise than the position asks for.

    Raises ImpossibleAnchor for one inside the body or below the floor, ValueError for a band not on the shelf.
    """
    body = body_of(profile)
    grade = grade_on_shelf(profile, step.grade)
    values = values_between(position.arc_start_deg, available_deg(profile, position), position.coordinate)
    motion = motion_of(body, position)
    if held_otherwise_rad is not None:
        motion = motion.held_otherwise(held_otherwise_rad)
    pull = line_of_pull(motion, anchor.point_m(body, distance_cm, position.anchor_side), values)
    free_m = anchor.free_length_m(grade.resting_length_m, distance_cm)
    return load_of(pull, arm_weight(motion, values), rubber_of(grade), free_m, step.strands)


def grade_on_shelf(profile: Profile, name: str) -> BandGrade:
    """The client's band of this name; ValueError naming the bands there are."""
    for grade in profile.bands:
        if grade.name == name:
            return grade
    raise ValueError(f"no band is called {name} here; the shelf has {', '.join(band.name for band in profile.bands)}")


def torque_time_nms(arc: Arc, tempo: Tempo, repetitions: int) -> float:
    """Load times time under load of one set, in newton metre seconds or newton seconds.

    Out and back at an even speed carry the mean torque, the hold carries the torque at the end; the pause between
    repetitions is not counted, as in time under tension: Faber M et al., PeerJ 2015;3:e1102 (abstract).
    """
    moving = arc.mean_nm * (tempo.out_s + tempo.back_s)
    return repetitions * (moving + arc.end_nm * tempo.hold_s)
