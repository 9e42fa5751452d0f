"""Alternatives to a setup: the same mean torque with the anchor elsewhere, and the ladder without a fixed mark."""

from collections.abc import Mapping

from msgspec import Struct

from coach.mechanics.anchor import Anchor
from coach.mechanics.anchor_placement import AnchorPlacement, place_anchor, place_anchor_with
from coach.mechanics.ladder import build_ladder, rungs
from coach.mechanics.load_steps import home_marks_cm, search_steps
from coach.mechanics.torque import Arc, arc_at
from coach.model.exercise import Position
from coach.model.load_step import LoadStep
from coach.model.prescription import FixedSetup, Prescription
from coach.model.profile import Profile

# How far the body turn is varied for comparison: a third of an hour on a clock face, and twice that.
_TURNED_BY_DEG = (-20, -10, 0, 10, 20)
_LEAST_TURN_DEG, _MOST_TURN_DEG = 0, 180


class AlternativeSetup(Struct, frozen=True):
    """Another anchor height or body turn, at the mark that comes nearest to the mean torque of the step in use."""

    anchor_height_cm: int
    body_turn_deg: float
    at_home: bool
    in_use: bool
    """Whether this is the setup in use."""
    step: LoadStep | None
    """The same band and strands at that mark; None where no mark at home makes a load step."""
    arc: Arc | None


class FixedDistanceCost(Struct, frozen=True):
    """Steps, and relative rise to the next one, on the ladder with the distance fixed and on the free ladder.

    A rise is None where there is no next step.
    """

    distance_cm: int
    steps: int
    steps_free: int
    rise: float | None
    rise_free: float | None


class SetupAlternatives(Struct, frozen=True):
    """Other heights and body turns, what would be chosen where the therapist fixed one, and the fixed distance."""

    heights: tuple[AlternativeSetup, ...]
    turns: tuple[AlternativeSetup, ...]
    free_height: AlternativeSetup | None
    """With the height that would be chosen; None where the therapist fixed none."""
    free_turn: AlternativeSetup | None
    """With the body turn of the position; None where the therapist fixed none."""
    distance: FixedDistanceCost | None


def find_alternatives(
    profile: Profile, prescription: Prescription, position: Position, step: LoadStep, limits: Mapping[str, float]
) -> SetupAlternatives:
    """What other anchor heights and body turns would do to the load of a step. Raises as build_ladder does."""
    fixed = prescription.fixed(position.name)
    if position.anchor == "foot":
        cost = _fixed_distance_cost(profile, prescription, position, step, fixed, limits)
        return SetupAlternatives(heights=(), turns=(), free_height=None, free_turn=None, distance=cost)
    placement = place_anchor(profile, prescription, position, limits)
    height_cm, turn_deg = placement.anchor_height_cm, placement.body_turn_deg

    def option(other_cm: int, other_deg: float) -> AlternativeSetup:
        return _alternative(profile, position, step, placement, Anchor(other_cm, other_deg), limits)

    free = place_anchor_with(fixed.model_copy(update={"anchor_height_cm": None}), profile, position, limits)
    heights = {*profile.home.anchor_heights_cm, height_cm}
    if all(abs(other_cm - placement.landmark_cm) > profile.home.mark_every_cm for other_cm in heights):
        heights.add(placement.landmark_cm)
    turns = {position.body_turn_deg + by for by in _TURNED_BY_DEG} | {turn_deg}
    return SetupAlternatives(
        heights=tuple(option(other_cm, turn_deg) for other_cm in sorted(heights)),
        turns=tuple(
            option(height_cm, other) for other in sorted(turns) if _LEAST_TURN_DEG <= other <= _MOST_TURN_DEG
        ),
        free_height=None if fixed.anchor_height_cm is None else option(free.anchor_height_cm, turn_deg),
        free_turn=None if fixed.body_turn_deg is None else option(height_cm, position.body_turn_deg),
        distance=_fixed_distance_cost(profile, prescription, position, step, fixed, limits),
    )


def _alternative(
    profile: Profile,
    position: Position,
    step: LoadStep,
    placement: AnchorPlacement,
    anchor: Anchor,
    limits: Mapping[str, float],
) -> AlternativeSetup:
    in_use = anchor == placement.anchor
    found: LoadStep | None = step
    if not in_use:
        band = profile.model_copy(update={"bands": tuple(one for one in profile.bands if one.name == step.grade)})
        steps = search_steps(band, position, home_marks_cm(profile.home), anchor, limits).steps
        alike = [other for other in steps if other.strands == step.strands]
        found = min(alike, key=lambda other: abs(other.mean_nm - step.mean_nm), default=None)
    return AlternativeSetup(
        anchor_height_cm=round(anchor.height_cm),
        body_turn_deg=anchor.body_turn_deg,
        at_home=anchor.height_cm in profile.home.anchor_heights_cm,
        in_use=in_use,
        step=found,
        arc=arc_at(profile, position, found, found.distance_cm, anchor) if found else None,
    )


def _fixed_distance_cost(
    profile: Profile,
    prescription: Prescription,
    position: Position,
    step: LoadStep,
    fixed: FixedSetup,
    limits: Mapping[str, float],
) -> FixedDistanceCost | None:
    if fixed.distance_cm is None:
        return None
    others = tuple(one for one in prescription.setups if one is not fixed)
    without = (*others, fixed.model_copy(update={"distance_cm": None}))
    counted: list[tuple[int, float | None]] = []
    for plan in (prescription, prescription.model_copy(update={"setups": without})):
        ladder = build_ladder(profile, plan, position, limits)
        following = rungs(ladder, step).next_step
        counted.append((len(ladder.found), following.mean_nm / step.mean_nm - 1 if following else None))
    (steps, rise), (steps_free, rise_free) = counted
    return FixedDistanceCost(fixed.distance_cm, steps, steps_free, rise, rise_free)
