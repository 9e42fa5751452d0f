"""The load steps for one place of the anchor: every band, strands and mark that load the arm."""

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property
from typing import Literal

from msgspec import Struct

from coach.mechanics.anchor import Anchor
from coach.mechanics.band import Rubber, elongation, rubber_of, terms_along
from coach.mechanics.body import body_of
from coach.mechanics.motion.motions import hand_along, motion_of
from coach.mechanics.torque import (
    Arc,
    ArmWeight,
    LineOfPull,
    arm_weight,
    available_deg,
    band_work_j,
    pull_along,
    values_between,
)
from coach.model.band import BandGrade
from coach.model.exercise import Position
from coach.model.load_step import LoadStep
from coach.model.profile import Home, Profile

# Torques are rounded to a tenth of a millinewton metre: far less than anyone feels, and the same on every machine.
_DIGITS = 4

RefusalReason = Literal["slack", "over", "helps"]
"""Not taut, stretched beyond the ceiling, or moving the arm along instead of loading it."""

# Torques smaller than this are taken as none: sums of zero come out as a few of the last digits.
NO_TORQUE_NM = 1e-9


class StepRefusal(Struct, frozen=True):
    """Why a band, strands and mark make no load step, and the first value of the coordinate at which it shows."""

    reason: RefusalReason
    at: float


class StepSearch(Struct, frozen=True):
    """The load steps found, in order of mean torque, and the reasons for which other combinations were refused."""

    steps: tuple[LoadStep, ...]
    refused: tuple[StepRefusal, ...]
    evenness: tuple[float, ...]
    """Of each step: the lowest torque on the arc over the largest."""


def home_marks_cm(home: Home) -> tuple[int, ...]:
    """Every distance in centimetres at which the client can have a mark."""
    return tuple(range(home.nearest_cm, home.farthest_cm + 1, home.mark_every_cm))


def underfoot_marks_cm(profile: Profile) -> tuple[int, ...]:
    """Every length of band in centimetres that can be underfoot, up to that of the longest band."""
    home, longest_m = profile.home, max(band.resting_length_m for band in profile.bands)
    return tuple(range(home.underfoot_least_cm, round(longest_m * 100), home.underfoot_every_cm))


def strands_in(profile: Profile, position: Position) -> tuple[Literal[1, 2], ...]:
    """How the band can be held in a position: as at home, but one strand where the client stands on it (ours)."""
    return (1,) if position.anchor == "foot" else profile.home.strands


def _described_by(position: Position) -> dict[str, object]:
    """What the load steps of a position say of themselves, beyond those of a rotation from a fixed anchor."""
    unit: dict[str, object] = {"unit": "N"} if position.coordinate == "path" else {}
    return {**unit, "underfoot": True} if position.anchor == "foot" else unit


def marks_cm(profile: Profile, position: Position) -> tuple[int, ...]:
    """The distances of the load steps in a position: of the marks at home, or of the band underfoot."""
    return underfoot_marks_cm(profile) if position.anchor == "foot" else home_marks_cm(profile.home)


def search_steps(
    profile: Profile,
    position: Position,
    distances_cm: Sequence[int],
    anchor: Anchor,
    limits: Mapping[str, float],
    is_wanted: Callable[[float], bool] | None = None,
) -> StepSearch:
    """The load steps from these marks, in centimetres from an anchor; or with so much of the band underfoot.

    A step keeps the rules of `find_refusal` over the whole arc. With `is_wanted`, only bands whose mean torque it
    takes are looked at: that needs no more than both ends of the arc. Raises ImpossibleAnchor for a mark inside the
    body, NoArc for an available range that ends before the arc starts.
    """
    body = body_of(profile)
    values = values_between(position.arc_start_deg, available_deg(profile, position), position.coordinate)
    motion = motion_of(body, position)
    weight, hands = arm_weight(motion, values), hand_along(motion, values)
    rubbers = [(grade, rubber_of(grade)) for grade in profile.bands]
    held = [(grade, rubber, strands) for grade, rubber in rubbers for strands in strands_in(profile, position)]
    described = _described_by(position)
    found: list[tuple[LoadStep, float]] = []
    refused: list[StepRefusal] = []
    for distance_cm in distances_cm:
        point, looked_at = anchor.point_m(body, distance_cm, position.anchor_side), held
        if is_wanted is not None:
            ends = pull_along((hands[0], hands[-1]), point, (values[0], values[-1]), position.coordinate)
            means = [_mean_nm(ends, weight, one[1], one[0].resting_length_m, one[2]) for one in held]
            looked_at = [one for one, mean_nm in zip(held, means, strict=True) if is_wanted(mean_nm)]
        if not looked_at:
            continue
        pull = _Stretched(pull_along(hands, point, values, position.coordinate))
        for grade, rubber, strands in looked_at:
            free_m = anchor.free_length_m(grade.resting_length_m, distance_cm)
            one = _step(distance_cm, pull, weight, grade, free_m, rubber, strands, limits)
            if isinstance(one, StepRefusal):
                refused.append(one)
            else:
                found.append((one[0].model_copy(update=described) if described else one[0], one[1]))
    names = [grade.name for grade in profile.bands]

    def by_torque(one: tuple[LoadStep, float]) -> tuple[float, int, int, int]:
        step = one[0]
        return step.mean_nm, names.index(step.grade), step.strands, step.distance_cm

    found.sort(key=by_torque)
    return StepSearch(tuple(one[0] for one in found), tuple(refused), tuple(one[1] for one in found))


class _Stretched(Struct, frozen=True, dict=True):
    """A line of pull with the terms of the law of rubber along it: bands of one resting length share them."""

    pull: LineOfPull

    @cached_property
    def _terms(self) -> dict[tuple[float, int], tuple[Sequence[float], ...]]:
        return {}

    @cached_property
    def shortest_m(self) -> float:
        """The shortest length on the arc."""
        return min(self.pull.length_m)

    @cached_property
    def longest_m(self) -> float:
        """The longest length on the arc."""
        return max(self.pull.length_m)

    def terms(self, rest_m: float, strands: int) -> tuple[Sequence[float], ...]:
        """The two terms of the law and the moment arm of all strands at each value of the coordinate."""
        found = self._terms.get((rest_m, strands))
        if found is None:
            first, second = terms_along([length * strands / rest_m for length in self.pull.length_m])
            # Doubling either factor of a product gives the same float.
            arms = [strands * arm for arm in self.pull.per_newton] if strands > 1 else self.pull.per_newton
            found = self._terms[rest_m, strands] = (first, second, arms)
        return found

    def torques_nm(self, weight: ArmWeight, rubber: Rubber, rest_m: float, strands: int) -> list[float]:
        """What the client must resist at each value of the coordinate, of a band that is taut throughout."""
        a, b = rubber.a_n, rubber.b_n
        return [
            (a * p + b * q) * moment_arm + arm_nm
            for p, q, moment_arm, arm_nm in zip(*self.terms(rest_m, strands), weight.torque_nm, strict=True)
        ]


def _step(
    distance_cm: int,
    stretched: _Stretched,
    weight: ArmWeight,
    grade: BandGrade,
    rest: float,
    rubber: Rubber,
    strands: Literal[1, 2],
    limits: Mapping[str, float],
) -> tuple[LoadStep, float] | StepRefusal:
    """The load step from one mark with its evenness, or why there is none.

    `rest` is the resting length of what is free to stretch.
    """
    pull = stretched.pull
    if rest <= 0:
        return StepRefusal("over", pull.q[0])
    refusal = _stretch_refusal(stretched, rest, strands, limits)
    if refusal is not None:
        return refusal
    torques_nm = stretched.torques_nm(weight, rubber, rest, strands)
    lowest_nm, peak_nm = min(torques_nm), max(torques_nm)
    if lowest_nm <= NO_TORQUE_NM:
        first = next(at for at, torque_nm in enumerate(torques_nm) if torque_nm <= NO_TORQUE_NM)
        return StepRefusal("helps", pull.q[first])
    step = LoadStep(
        grade=grade.name,
        strands=strands,
        distance_cm=distance_cm,
        mean_nm=_mean_nm(pull, weight, rubber, rest, strands),
        peak_nm=round(peak_nm, _DIGITS),
    )
    return step, lowest_nm / peak_nm


def _mean_nm(pull: LineOfPull, weight: ArmWeight, rubber: Rubber, rest_m: float, strands: int) -> float:
    """The mean torque over the arc; of the pull, both ends are enough."""
    return round((band_work_j(pull, rubber, rest_m, strands) + weight.work_j) / pull.span, _DIGITS)


def find_refusal(arc: Arc, limits: Mapping[str, float]) -> StepRefusal | None:
    """Why the load of an arc may not be used, at the first value of the coordinate that shows it; None where it may.

    At every degree, the hold at the end included, a band must be stretched by taut_at_start or more and by
    elongation_max at most, and it and the arm's weight together must leave a torque to resist.
    """
    for at_q, elongation_there in zip(arc.q, arc.elongation, strict=True):
        if elongation_there < limits["taut_at_start"]:
            return StepRefusal("slack", at_q)
        if elongation_there > limits["elongation_max"]:
            return StepRefusal("over", at_q)
    for at_q, torque_nm in zip(arc.q, arc.torque_nm, strict=True):
        if torque_nm <= NO_TORQUE_NM:
            return StepRefusal("helps", at_q)
    return None


def _stretch_refusal(
    stretched: _Stretched, rest_m: float, strands: Literal[1, 2], limits: Mapping[str, float]
) -> StepRefusal | None:
    """As find_refusal, of the stretch alone: the length needs no tension, so most marks are refused at once."""
    pull, shortest, longest = stretched.pull, stretched.shortest_m, stretched.longest_m
    if elongation(rest_m, shortest, strands) < limits["taut_at_start"]:
        return StepRefusal("slack", pull.q[pull.length_m.index(shortest)])
    if elongation(rest_m, longest, strands) > limits["elongation_max"]:
        return StepRefusal("over", pull.q[pull.length_m.index(longest)])
    return None
