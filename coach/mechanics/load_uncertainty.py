"""How well the mean torque of a load step is known, and how surely one step is heavier than another.

First-order propagation, JCGM 100:2008 (GUM), 5.1 and 5.2: each contribution is what one standard uncertainty of an
input does to the mean torque. Errors of one client, one tape and one anchor are the same on every step; those of a
band's fit are the same on every step of that band; where the feet stand is new each day. So two steps are compared by
the uncertainty of their difference, in which the common errors cancel. Where the first order is not enough the same
inputs are drawn: `coach.mechanics.band_draws`.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from typing import Literal

from msgspec import Struct, field
from msgspec.structs import replace

from coach.mechanics.anchor import Anchor
from coach.mechanics.arm import elevation_deg
from coach.mechanics.band import Rubber, energy_terms, tension_n
from coach.mechanics.band_draws import NORMAL, band_draws, needs_draws
from coach.mechanics.band_uncertainty import BandUncertainty, Triple, age_uncertainty, band_uncertainty
from coach.mechanics.body import body_of
from coach.mechanics.motion.motion import PER_UNIT, Motion
from coach.mechanics.motion.motions import motion_of
from coach.mechanics.torque import arm_weight, available_deg, grade_on_shelf, line_of_pull, load_of, values_between
from coach.mechanics.vector import Vector, dot, minus, size, times
from coach.model.exercise import Position
from coach.model.load_step import ChosenStep, LoadStep
from coach.model.profile import Profile

COVERAGE = NORMAL.inv_cdf(0.95)
"""Standard uncertainties from the mean to either end of the interval from 5 to 95 %."""

_ARC_DRAWS = 20  # every twentieth draw of a fit is enough for the interval drawn around a curve
Input = Literal["mark", "anchor_height", "body_turn", "elevation", "lever", "arm_mass", "band", "age", "feet"]
SHARED: tuple[Input, ...] = ("mark", "anchor_height", "body_turn", "elevation", "lever", "arm_mass")
"""The inputs whose error is the same on every step of one ladder, in the order of Contributions.shared."""


class Contributions(Struct, frozen=True, dict=True):
    """What one standard uncertainty of each input does to a mean torque, in newton metres."""

    grade: str
    shared: tuple[float, ...]
    """By the inputs of SHARED."""
    band: Triple
    """By the three independent errors of the band's fit."""
    feet: float
    """By where the feet stand on the day."""
    age: float = 0.0
    """By the use of the band since it was measured."""
    drawn: tuple[float, ...] = ()
    """What each draw of the band's readings adds to the mean torque; empty where `band` is enough."""

    @property
    def by_input(self) -> Mapping[Input, float]:
        """What each input adds to the standard uncertainty, in newton metres: SHARED, "band", "age" and "feet"."""
        middle = math.fsum(self.drawn) / len(self.drawn) if self.drawn else 0.0
        drawn = math.hypot(*[one - middle for one in self.drawn]) / math.sqrt(max(len(self.drawn), 1))
        band = drawn if self.drawn else math.hypot(*self.band)
        parts = dict(zip(SHARED, map(abs, self.shared), strict=True))
        return parts | {"band": band, "age": abs(self.age), "feet": abs(self.feet)}

    @cached_property
    def setup_nm(self) -> float:
        """The standard uncertainty from everything but the measurement of the band, in newton metres."""
        return math.hypot(*self.shared, self.age, self.feet)

    @cached_property
    def interval_nm(self) -> tuple[float, float]:
        """What to add to the mean torque for the 5 and the 95 % ends of its distribution, in newton metres."""
        if not self.drawn:
            half = COVERAGE * math.hypot(self.setup_nm, *self.band)
            return -half, half
        groups = self._gathered(40)
        return _quantile(groups, self.setup_nm, 0.05), _quantile(groups, self.setup_nm, 0.95)

    def _gathered(self, parts: int) -> list[float]:
        """The draws in order, gathered in so many equal parts: the mean of each."""
        ordered = sorted(self.drawn)
        size = len(ordered) // parts
        return [math.fsum(ordered[at : at + size]) / size for at in range(0, len(ordered), size)]

    def difference_nm(self, other: "Contributions") -> float:
        """The standard uncertainty of the difference between two mean torques on two days, in newton metres."""
        errors, drawn = self._differences(other)
        middle = math.fsum(drawn) / len(drawn)
        return math.hypot(*errors, *[(one - middle) / math.sqrt(len(drawn)) for one in drawn])

    def chance_above(self, rise_nm: float, other: "Contributions") -> float:
        """The chance, from 0 to 1, that this mean torque is above another by day, being computed `rise_nm` above.

        Errors that both share cancel: those of the setup, and those of the fit and the age where both are steps of
        one band.
        """
        errors, drawn = self._differences(other)
        standard = math.hypot(*errors)
        if standard <= 0:
            return sum(rise_nm + one > 0 for one in drawn) / len(drawn)
        return math.fsum(NORMAL.cdf((rise_nm + one) / standard) for one in drawn) / len(drawn)

    def _differences(self, other: "Contributions") -> tuple[list[float], list[float]]:
        """The independent errors of a difference as standard uncertainties, and the drawn part of it, in Nm."""
        errors = [mine - theirs for mine, theirs in zip(self.shared, other.shared, strict=True)]
        errors += [self.feet, other.feet]
        errors += [self.age - other.age] if self.grade == other.grade else [self.age, other.age]
        if self.drawn and other.drawn:
            if self.grade == other.grade:
                return errors, [mine - theirs for mine, theirs in zip(self.drawn, other.drawn, strict=True)]
            return errors, [mine - theirs for mine in self._gathered(20) for theirs in other._gathered(20)]
        if self.drawn:
            return [*errors, *other.band], list(self.drawn)
        if other.drawn:
            return [*errors, *self.band], [-one for one in other.drawn]
        if self.grade == other.grade:
            errors += [mine - theirs for mine, theirs in zip(self.band, other.band, strict=True)]
        else:
            errors += [*self.band, *other.band]
        return errors, [0.0]


def _quantile(means: Sequence[float], standard: float, share: float) -> float:
    """The value below which a mixture of normal distributions has this share: equal parts, one standard deviation."""
    low, high = means[0] - 3 * standard, means[-1] + 3 * standard
    scale = math.sqrt(2) * max(standard, 1e-9)
    while high - low > 1e-3 * (means[-1] - means[0] + standard):
        middle = (low + high) / 2
        below = 0.5 + 0.5 * sum([math.erf((middle - mean) / scale) for mean in means]) / len(means)
        low, high = (middle, high) if below < share else (low, middle)
    return (low + high) / 2


class _Pull(Struct, frozen=True):
    """The pull at one rotation: its length, and what one standard uncertainty of each input does to it, in metres."""

    length_m: float
    mark_m: float
    feet_m: float
    anchor_height_m: float
    body_turn_m: float
    pose_m: float
    lever_m: float


class LoadUncertainty(Struct, frozen=True, dict=True):
    """The uncertainty of the load of every step of one client in one position, with the anchor in one place.

    Reads the limits u_scale_n, u_point_length_m, u_resting_length_m, u_mark_m, u_feet_m, u_anchor_height_m,
    u_body_turn_deg, u_elevation_deg, u_elbow_gap_m, u_lever_m, u_lever_from_stature_m, u_arm_mass and u_band_age, all
    of them standard uncertainties. `used` is by how many repetitions each band has aged since it was measured.
    """

    profile: Profile
    position: Position
    anchor: Anchor
    limits: Mapping[str, float]
    used: Mapping[str, float] = field(default_factory=dict)

    @cached_property
    def _bands(self) -> dict[str, BandUncertainty]:
        return {}

    @cached_property
    def _draws(self) -> dict[str, tuple[Triple, ...]]:
        return {}

    @cached_property
    def _pulls(self) -> dict[float, tuple[_Pull, _Pull]]:
        return {}

    def band(self, grade: str) -> BandUncertainty:
        """The uncertainty of a band on the shelf. Raises ValueError for a band that is not there."""
        if grade not in self._bands:
            self._bands[grade] = band_uncertainty(grade_on_shelf(self.profile, grade), self.limits)
        return self._bands[grade]

    def _drawn(self, grade: str) -> tuple[Triple, ...]:
        """The draws of a band, each with an order of its own; none where the first order is enough."""
        if grade not in self._draws:
            names = [band.name for band in self.profile.bands]
            drawn = needs_draws(self.band(grade))
            on_shelf = grade_on_shelf(self.profile, grade)
            self._draws[grade] = band_draws(on_shelf, self.limits, names.index(grade)) if drawn else ()
        return self._draws[grade]

    def contributions(self, step: LoadStep | ChosenStep) -> Contributions:
        """The contributions of all inputs to the mean torque of a step."""
        band = self.band(step.grade)
        start, end = self.pulls(step.distance_cm)
        strands, rubber = step.strands, band.rubber
        rest = self.anchor.free_length_m(band.resting_length_m, step.distance_cm)
        tension_start = tension_n(rubber, rest, start.length_m, strands)
        tension_end = tension_n(rubber, rest, end.length_m, strands)
        span = self._span

        def by_length(at_start_m: float, at_end_m: float) -> float:
            return (tension_end * at_end_m - tension_start * at_start_m) / span

        p_start, q_start = energy_terms(start.length_m * strands / rest)
        p_end, q_end = energy_terms(end.length_m * strands / rest)
        a_n, b_n = rubber.a_n, rubber.b_n
        stored = rest * (a_n * p_end + b_n * q_end) - rest * (a_n * p_start + b_n * q_start)
        pulled = tension_end * end.length_m - tension_start * start.length_m
        per_a, per_b = rest * (p_end - p_start) / span, rest * (q_end - q_start) / span
        per_rest = (stored - pulled) / rest / span
        first, second, third = (per_a * a + per_b * b + per_rest * r for a, b, r in band.factor)
        by_mark, by_feet = by_length(start.mark_m, end.mark_m), by_length(start.feet_m, end.feet_m)
        if self.anchor.kind == "foot":  # more of the band underfoot is a shorter band
            by_mark, by_feet = -per_rest * self.limits["u_mark_m"], -per_rest * self.limits["u_feet_m"]
        return Contributions(
            grade=step.grade,
            shared=(
                by_mark,
                by_length(start.anchor_height_m, end.anchor_height_m),
                by_length(start.body_turn_m, end.body_turn_m),
                by_length(start.pose_m, end.pose_m) + self._weight_by_pose,
                by_length(start.lever_m, end.lever_m) + self._weight_by_lever,
                self._weight_by_mass,
            ),
            band=(first, second, third),
            feet=by_feet,
            age=self.u_age(step.grade) * stored / span,
            drawn=tuple([per_a * a + per_b * b + per_rest * r for a, b, r in self._drawn(step.grade)]),
        )

    def moved_arcs(self, step: LoadStep | ChosenStep) -> Iterator[tuple[float, ...]]:
        """The torque at each degree of the arc in newton metres, each input moved by its standard uncertainty."""
        limits, motion, anchor = self.limits, self._motion, self.anchor
        body, band = motion.body, self.band(step.grade)
        standing = math.hypot(limits["u_mark_m"], limits["u_feet_m"]) * 100
        otherwise = motion.held_otherwise(self.u_pose_rad)
        lever = motion.with_body(replace(body, grip_lever_m=body.grip_lever_m + self.u_lever_m))
        heavier = motion.with_body(
            replace(
                body,
                forearm_mass_kg=body.forearm_mass_kg * (1 + limits["u_arm_mass"]),
                upper_arm_mass_kg=body.upper_arm_mass_kg * (1 + limits["u_arm_mass"]),
            )
        )
        rubber, rest = band.rubber, band.resting_length_m
        yield self._load(step, motion, anchor, rubber, rest, step.distance_cm + standing)
        if anchor.kind == "fixed":
            higher = replace(anchor, height_cm=anchor.height_cm + 100 * limits["u_anchor_height_m"])
            turned = replace(anchor, body_turn_deg=anchor.body_turn_deg + limits["u_body_turn_deg"])
            for moved_anchor in (higher, turned):
                yield self._load(step, motion, moved_anchor, rubber, rest, step.distance_cm)
        for moved_motion in (otherwise, lever, heavier):
            yield self._load(step, moved_motion, anchor, rubber, rest, step.distance_cm)
        for by_a, by_b, by_rest in self._band_moves(step.grade):
            moved = replace(rubber, a_n=rubber.a_n + by_a, b_n=rubber.b_n + by_b)
            yield self._load(step, motion, anchor, moved, rest + by_rest, step.distance_cm)
        left = 1 - self.u_age(step.grade)
        aged = replace(rubber, a_n=rubber.a_n * left, b_n=rubber.b_n * left)
        yield self._load(step, motion, anchor, aged, rest, step.distance_cm)

    def u_age(self, grade: str) -> float:
        """The standard uncertainty of a band's tension from its use since it was measured, a fraction of it."""
        return age_uncertainty(self.used.get(grade, 0.0), self.limits)

    def _band_moves(self, grade: str) -> tuple[Triple, ...]:
        """The independent errors of a band's fit; of one that needs draws, some of them, scaled to their number."""
        drawn = self._drawn(grade)[::_ARC_DRAWS]
        if not drawn:
            return self.band(grade).factor
        scale = 1 / math.sqrt(len(drawn))
        return tuple((a * scale, b * scale, rest * scale) for a, b, rest in drawn)

    def _load(
        self,
        step: LoadStep | ChosenStep,
        motion: Motion,
        anchor: Anchor,
        rubber: Rubber,
        rest_m: float,
        distance_cm: float,
    ) -> tuple[float, ...]:
        point = anchor.point_m(motion.body, distance_cm, self.position.anchor_side)
        pull, free_m = line_of_pull(motion, point, self._values), anchor.free_length_m(rest_m, distance_cm)
        return load_of(pull, arm_weight(motion, self._values), rubber, free_m, step.strands).torque_nm

    def pulls(self, distance_cm: float) -> tuple[_Pull, _Pull]:
        """The pull at the start and at the end of the arc, from a mark in centimetres from the anchor."""
        if distance_cm not in self._pulls:
            point = self.anchor.point_m(self._motion.body, distance_cm, self.position.anchor_side)
            start, end = self._values[0], self._values[-1]
            self._pulls[distance_cm] = self._pull(point, start), self._pull(point, end)
        return self._pulls[distance_cm]

    def _pull(self, point: Vector, q: float) -> _Pull:
        motion, turn = self._motion, math.radians(self.anchor.body_turn_deg)
        pull = minus(point, motion.hand_m(q))
        length = size(pull)
        unit = times(1 / length, pull) if length > 0 else (0.0, 0.0, 0.0)
        aside = 1.0 if self.position.anchor_side == "exercising" else -1.0
        distance = math.hypot(point[0], point[1])
        farther = (math.cos(turn), aside * math.sin(turn), 0.0)
        turned = (-distance * math.sin(turn), aside * distance * math.cos(turn), 0.0)
        limits, moves = self.limits, self.anchor.kind == "fixed"
        by_distance = dot(unit, farther)
        return _Pull(
            length_m=length,
            mark_m=limits["u_mark_m"] * by_distance,
            feet_m=limits["u_feet_m"] * by_distance,
            anchor_height_m=limits["u_anchor_height_m"] * unit[2] if moves else 0.0,
            body_turn_m=math.radians(limits["u_body_turn_deg"]) * dot(unit, turned) if moves else 0.0,
            pose_m=-self.u_pose_rad * dot(unit, motion.hand_by_pose(q)),
            lever_m=-self.u_lever_m * dot(unit, motion.hand_by_lever(q)),
        )

    @cached_property
    def u_pose_rad(self) -> float:
        """The standard uncertainty of how the arm is held.

        For a rotation with a gap at the elbow it is that of the elevation the gap makes; otherwise u_elevation_deg.
        """
        if not self.position.elbow_gap_cm:
            return math.radians(self.limits["u_elevation_deg"])
        body = self._motion.body
        lifted = math.radians(elevation_deg(body, self.position))
        return self.limits["u_elbow_gap_m"] / (body.upper_arm_m * math.cos(lifted))

    @cached_property
    def u_lever_m(self) -> float:
        """The standard uncertainty of the lever from elbow to grip, measured or taken from stature."""
        measured = self.profile.lengths.grip_lever_m is not None
        return self.limits["u_lever_m" if measured else "u_lever_from_stature_m"]

    @cached_property
    def _motion(self) -> Motion:
        return motion_of(body_of(self.profile), self.position)

    @cached_property
    def _values(self) -> tuple[float, ...]:
        return values_between(
            self.position.arc_start_deg, available_deg(self.profile, self.position), self.position.coordinate
        )

    @cached_property
    def _span(self) -> float:
        return (self._values[-1] - self._values[0]) * PER_UNIT[self.position.coordinate]

    @cached_property
    def _weight_by_mass(self) -> float:
        lifted_j = self._motion.energy_j(self._values[-1]) - self._motion.energy_j(self._values[0])
        return self.limits["u_arm_mass"] * lifted_j / self._span

    @cached_property
    def _weight_by_lever(self) -> float:
        by_lever_j = self._motion.energy_by_lever(self._values[-1]) - self._motion.energy_by_lever(self._values[0])
        return self.u_lever_m * by_lever_j / self._span

    @cached_property
    def _weight_by_pose(self) -> float:
        by_pose_j = self._motion.energy_by_pose(self._values[-1]) - self._motion.energy_by_pose(self._values[0])
        return self.u_pose_rad * by_pose_j / self._span
