"""The price of a place: the same mean torque with the anchor elsewhere, and what a fixed distance leaves."""

from collections.abc import Mapping
from dataclasses import dataclass

from coach.mechanics.anchor_placement import Place, place_of, place_with
from coach.mechanics.ladder import build, find, next_step
from coach.mechanics.load_steps import marks_at_home, steps_at
from coach.mechanics.torque import Arc, arc_at
from coach.model.exercise import Position
from coach.model.load_step import LoadStep
from coach.model.prescription import FixedSetup, Prescription
from coach.model.profile import Profile

# How far the body turn is varied for comparison: a third of an hour on a clock face, and twice that.
_TURNED_BY_DEG = (-20, -10, 0, 10, 20)
_LEAST_TURN_DEG, _MOST_TURN_DEG = 0, 180


@dataclass(frozen=True)
class Option:
    """One place of the anchor, at the mark that comes nearest to the mean torque of the step in use."""

    anchor_height_cm: int
    body_turn_deg: float
    at_home: bool
    now: bool
    """Whether this is the place in use."""
    step: LoadStep | None
    """The same band and strands at that mark; None where no mark at home makes a load step."""
    arc: Arc | None


@dataclass(frozen=True)
class DistancePrice:
    """What is left of the load ladder where the distance is fixed; a rise is None where no step is next."""

    distance_cm: int
    steps: int
    steps_free: int
    rise: float | None
    rise_free: float | None


@dataclass(frozen=True)
class Prices:
    """Other heights and body turns, what the therapist's own would be without the fix, and the fixed distance."""

    heights: tuple[Option, ...]
    turns: tuple[Option, ...]
    free_height: Option | None
    """With the height that would be chosen; None where the therapist fixed none."""
    free_turn: Option | None
    """With the body turn of the position; None where the therapist fixed none."""
    distance: DistancePrice | None


def prices(
    profile: Profile, prescription: Prescription, position: Position, step: LoadStep, limits: Mapping[str, float]
) -> Prices:
    """What other places of the anchor would do to the load of a step. Raises as the ladder does."""
    place, fixed = place_of(profile, prescription, position, limits), prescription.fixed(position.abduction_deg)
    height_cm, turn_deg = place.anchor_height_cm, place.body_turn_deg

    def option(other_cm: int, other_deg: float) -> Option:
        return _option(profile, position, step, place, other_cm, other_deg, limits)

    free = place_with(fixed.model_copy(update={"anchor_height_cm": None}), profile, position, limits)
    heights = {*profile.home.anchor_heights_cm, height_cm}
    if all(abs(other_cm - place.landmark_cm) > profile.home.mark_every_cm for other_cm in heights):
        heights.add(place.landmark_cm)
    turns = {position.body_turn_deg + by for by in _TURNED_BY_DEG} | {turn_deg}
    return Prices(
        heights=tuple(option(other_cm, turn_deg) for other_cm in sorted(heights)),
        turns=tuple(
            option(height_cm, other) for other in sorted(turns) if _LEAST_TURN_DEG <= other <= _MOST_TURN_DEG
        ),
        free_height=None if fixed.anchor_height_cm is None else option(free.anchor_height_cm, turn_deg),
        free_turn=None if fixed.body_turn_deg is None else option(height_cm, position.body_turn_deg),
        distance=_distance_price(profile, prescription, position, step, fixed, limits),
    )


def _option(
    profile: Profile,
    position: Position,
    step: LoadStep,
    place: Place,
    height_cm: int,
    turn_deg: float,
    limits: Mapping[str, float],
) -> Option:
    now = (height_cm, turn_deg) == (place.anchor_height_cm, place.body_turn_deg)
    found: LoadStep | None = step
    if not now:
        band = profile.model_copy(update={"bands": tuple(one for one in profile.bands if one.name == step.grade)})
        steps = steps_at(band, position, marks_at_home(profile.home), height_cm, turn_deg, limits).steps
        alike = [other for other in steps if other.strands == step.strands]
        found = min(alike, key=lambda other: abs(other.mean_nm - step.mean_nm), default=None)
    return Option(
        anchor_height_cm=height_cm,
        body_turn_deg=turn_deg,
        at_home=height_cm in profile.home.anchor_heights_cm,
        now=now,
        step=found,
        arc=arc_at(profile, position, found, found.distance_cm, height_cm, turn_deg) if found else None,
    )


def _distance_price(
    profile: Profile,
    prescription: Prescription,
    position: Position,
    step: LoadStep,
    fixed: FixedSetup,
    limits: Mapping[str, float],
) -> DistancePrice | None:
    if fixed.distance_cm is None:
        return None
    others = tuple(one for one in prescription.setups if one is not fixed)
    without = (*others, fixed.model_copy(update={"distance_cm": None}))
    counted: list[tuple[int, float | None]] = []
    for plan in (prescription, prescription.model_copy(update={"setups": without})):
        ladder = build(profile, plan, position, limits)
        following = next_step(ladder, find(ladder, step), limits)
        counted.append((len(ladder.steps), following.mean_nm / step.mean_nm - 1 if following else None))
    (steps, rise), (steps_free, rise_free) = counted
    return DistancePrice(fixed.distance_cm, steps, steps_free, rise, rise_free)
