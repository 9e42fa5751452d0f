"""The load through the arc: the torque of band and arm weight at each degree.

The load of a step is the torque the client must resist: the band's together with the arm's own weight. The weight is
the same on every step of a ladder, so the order is that of the band; but a rise of 10 % is a rise of what the cuff
feels, and a measured strength is compared with all that it has to carry.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from coach.mechanics.anchor import Anchor
from coach.mechanics.arm import RaisedArm, raise_arm, raise_arm_to
from coach.mechanics.band import Rubber, elongation, energy_j, extrapolated, rubber_of, tension_n
from coach.mechanics.body import body_of
from coach.mechanics.vector import Vector, dot, minus
from coach.model.band import BandGrade
from coach.model.exercise import Position
from coach.model.load_step import ChosenStep, LoadStep
from coach.model.no_session import NoSession
from coach.model.prescription import Tempo
from coach.model.profile import Profile

GRAVITY_M_S2 = 9.80665
"""Standard acceleration of free fall: 3rd General Conference on Weights and Measures, 1901."""


class NoArc(NoSession):
    """The available range ends before the arc starts."""


@dataclass(frozen=True)
class LineOfPull:
    """The straight line from anchor to hand at each rotation, the same for every band."""

    rotation_deg: tuple[float, ...]
    length_m: tuple[float, ...]
    moment_arm_m: tuple[float, ...]
    """Newton metres that the client must resist for each newton of tension; negative where the pull helps."""


@dataclass(frozen=True)
class ArmWeight:
    """The torque of the arm's own weight at each rotation, and the work of lifting it through the arc."""

    torque_nm: tuple[float, ...]
    work_j: float


@dataclass(frozen=True)
class Arc:
    """The load at each degree of the client's arc; every tuple has one value for each rotation."""

    rotation_deg: tuple[float, ...]
    length_m: tuple[float, ...]
    moment_arm_m: tuple[float, ...]
    elongation: tuple[float, ...]
    tension_n: tuple[float, ...]
    band_nm: tuple[float, ...]
    arm_nm: tuple[float, ...]
    work_j: float
    """Work of one repetition on the way out, against band and arm weight; given back on the way back."""
    extrapolated: bool
    """Whether the band is stretched beyond its measured points anywhere on the arc."""

    @property
    def torque_nm(self) -> tuple[float, ...]:
        """What the client must resist: band and arm weight together."""
        return tuple(band + arm for band, arm in zip(self.band_nm, self.arm_nm, strict=True))

    @property
    def mean_nm(self) -> float:
        """The mean torque over the arc: work over the angle turned, so without any error of a sum."""
        return self.work_j / math.radians(self.rotation_deg[-1] - self.rotation_deg[0])

    @property
    def peak_nm(self) -> float:
        """The largest torque on the arc."""
        return max(self.torque_nm)

    @property
    def peak_at_deg(self) -> float:
        """The rotation at which the torque is largest."""
        return self.rotation_deg[self.torque_nm.index(self.peak_nm)]

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
    """The end of the client's arc in degrees: measured, else the published range of the position."""
    measured = profile.available_deg(position.abduction_deg, position.direction)
    return position.available_deg if measured is None else measured


def rotations_deg(start_deg: float, end_deg: float) -> tuple[float, ...]:
    """Rotations in degrees: every degree from the start of the arc, and its end.

    Raises NoArc where the arc would end before it starts.
    """
    if end_deg <= start_deg:
        raise NoArc(
            f"the available range ends at {end_deg:g} degrees, where the arc starts at {start_deg:g}: "
            "measure the range again, or leave this position out"
        )
    whole = math.ceil(end_deg - start_deg)
    return (*(start_deg + degree for degree in range(whole)), end_deg)


def line_of_pull(arm: RaisedArm, anchor: Vector, rotations: Sequence[float]) -> LineOfPull:
    """Length and moment arm of the pull at each rotation in degrees, for an anchor in the body frame in metres.

    With c from elbow to anchor, lever L, forearm d and motion v: length^2 = c.c + L^2 - 2 L c.d, and the moment arm
    L (-v . r) / |r| = -L c.v / length, because the forearm is square to its own motion.
    """
    from_elbow = minus(anchor, arm.elbow_m)
    lever = arm.body.grip_lever_m
    ahead, aside = lever * dot(from_elbow, arm.forward), lever * dot(from_elbow, arm.toward)
    apart = dot(from_elbow, from_elbow) + lever * lever
    lengths: list[float] = []
    moment_arms: list[float] = []
    for rotation in rotations:
        angle = math.radians(rotation)
        cosine, sine = math.cos(angle), math.sin(angle)
        length = math.sqrt(max(apart - 2 * (ahead * cosine + aside * sine), 0.0))
        lengths.append(length)
        moment_arms.append((ahead * sine - aside * cosine) / length if length > 0 else 0.0)
    return LineOfPull(tuple(rotations), tuple(lengths), tuple(moment_arms))


def arm_weight(arm: RaisedArm, rotations: Sequence[float]) -> ArmWeight:
    """The weight of forearm and hand about the upper arm's axis; none with the arm at the side.

    External rotation lifts the forearm, internal rotation lets it down: then the weight helps and counts negative.
    """
    lift_nm = arm.body.forearm_mass_kg * GRAVITY_M_S2 * arm.body.mass_lever_m * arm.toward[2]
    torques = tuple(lift_nm * math.cos(math.radians(rotation)) for rotation in rotations)
    rise = math.sin(math.radians(rotations[-1])) - math.sin(math.radians(rotations[0]))
    return ArmWeight(torques, lift_nm * rise)


def load_of(pull: LineOfPull, weight: ArmWeight, rubber: Rubber, resting_length_m: float, strands: int) -> Arc:
    """The load of one band along a line of pull."""
    tensions = tuple(tension_n(rubber, resting_length_m, length, strands) for length in pull.length_m)
    stretched = tuple(elongation(resting_length_m, length, strands) for length in pull.length_m)
    return Arc(
        rotation_deg=pull.rotation_deg,
        length_m=pull.length_m,
        moment_arm_m=pull.moment_arm_m,
        elongation=stretched,
        tension_n=tensions,
        band_nm=tuple(tension * arm for tension, arm in zip(tensions, pull.moment_arm_m, strict=True)),
        arm_nm=weight.torque_nm,
        work_j=band_work_j(pull, rubber, resting_length_m, strands) + weight.work_j,
        extrapolated=extrapolated(rubber, max(stretched)),
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
    elevation_deg: float | None = None,
) -> Arc:
    """The load of a step's band and strands `distance_cm` away from an anchor, whatever the distance of the step.

    `elevation_deg` is how far the arm is lifted where it is held otherwise than the position asks for.

    Raises ImpossibleAnchor for one inside the body or below the floor, ValueError for a band not on the shelf.
    """
    body = body_of(profile)
    grade = grade_on_shelf(profile, step.grade)
    rotations = rotations_deg(position.arc_start_deg, available_deg(profile, position))
    arm = raise_arm_to(body, position)
    if elevation_deg is not None:
        arm = raise_arm(body, elevation_deg, position.plane_deg, position.direction)
    pull = line_of_pull(arm, anchor.point_m(body, distance_cm, position.anchor_side), rotations)
    weight = arm_weight(arm, rotations)
    return load_of(pull, weight, rubber_of(grade), grade.resting_length_m, step.strands)


def grade_on_shelf(profile: Profile, name: str) -> BandGrade:
    """The client's band of this name; ValueError naming the bands there are."""
    for grade in profile.bands:
        if grade.name == name:
            return grade
    raise ValueError(f"no band is called {name} here; the shelf has {', '.join(band.name for band in profile.bands)}")


def torque_time_nms(arc: Arc, tempo: Tempo, repetitions: int) -> float:
    """Torque times time under load of one set, in newton metre seconds.

    Out and back at an even speed carry the mean torque, the hold carries the torque at the end; the pause between
    repetitions is not counted, as in time under tension: Faber M et al., PeerJ 2015;3:e1102 (abstract).
    """
    moving = arc.mean_nm * (tempo.out_s + tempo.back_s)
    return repetitions * (moving + arc.end_nm * tempo.hold_s)
