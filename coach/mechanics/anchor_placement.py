"""Where the anchor should be: its height and the body turn that keep the load through the arc.

The landmark and the body turn of a position are common practice and stand first. Among the heights at home the one
nearest to the landmark is taken, but none from which the band would run the wrong way; and of the nearest below and
the nearest above it the farther one where it keeps the load clearly better at the same mean torque. What the
therapist fixed is taken as it is.

Common practice, no source: at 90 degrees the band runs downward to the anchor, at 0 degrees level. Ours: it runs
downward to an anchor no higher than the elbow of an arm at the side, which is an upper arm below the hand.
"""

import math
from collections.abc import Mapping
from statistics import fmean
from typing import Literal

from msgspec import Struct, field

from coach.mechanics.anchor import Anchor
from coach.mechanics.body import body_of, landmark_height_m
from coach.mechanics.load_steps import StepSearch, home_marks_cm, marks_cm, search_steps
from coach.mechanics.torque import Arc, arc_at
from coach.model.exercise import AnchorKind, Position
from coach.model.load_step import ChosenStep, LoadStep
from coach.model.prescription import FixedSetup, Prescription
from coach.model.profile import Profile

HeightReason = Literal["fixed", "nearest", "downward", "not_downward", "kept", "foot"]
"""Fixed by the therapist; nearest to the landmark; nearest of those from which the band runs downward; none at home
lets it run downward, so the lowest; keeps the load clearly better than the one nearest to the landmark; the client's
own foot."""


class AnchorPlacement(Struct, frozen=True):
    """Where the anchor is, and why."""

    anchor_height_cm: int
    body_turn_deg: float
    why: HeightReason
    landmark_cm: int
    """The height of the landmark that the position asks for."""
    instead_of_cm: int | None = None
    """The height nearer to the landmark that was passed over; None where none was."""
    highest_cm: int | None = None
    """The highest from which the band runs the way it must; None where any height does."""
    searched: StepSearch | None = None
    """What the marks at home gave from there, where that was looked at to choose the height."""

    @property
    def anchor(self) -> Anchor:
        """The same as numbers alone."""
        kind: AnchorKind = "foot" if self.why == "foot" else "fixed"
        return Anchor(self.anchor_height_cm, self.body_turn_deg, kind)


def place_anchor(
    profile: Profile, prescription: Prescription, position: Position, limits: Mapping[str, float]
) -> AnchorPlacement:
    """The place of the anchor for a position: what the therapist fixed, else what keeps the load."""
    return place_anchor_with(prescription.fixed(position.name), profile, position, limits)


def place_anchor_with(
    fixed: FixedSetup, profile: Profile, position: Position, limits: Mapping[str, float]
) -> AnchorPlacement:
    """The place of the anchor for a position with this much of the setup fixed."""
    if position.anchor == "foot":
        return AnchorPlacement(0, position.body_turn_deg, "foot", 0)
    landmark_m = landmark_height_m(body_of(profile), profile, position.anchor_landmark)
    turn_deg = position.body_turn_deg if fixed.body_turn_deg is None else fixed.body_turn_deg
    if fixed.anchor_height_cm is not None:
        return AnchorPlacement(fixed.anchor_height_cm, turn_deg, "fixed", round(landmark_m * 100))
    by_nearness = sorted(profile.home.anchor_heights_cm, key=lambda height_cm: abs(height_cm - landmark_m * 100))
    highest_cm = math.floor(body_of(profile).elbow_height_m * 100) if position.band_runs == "downward" else None
    heights = _Heights(profile, position, turn_deg, limits)
    height_cm, why = heights.choose(by_nearness, landmark_m * 100, highest_cm)
    passed_over, searched = by_nearness[0] if by_nearness[0] != height_cm else None, heights.searched.get(height_cm)
    return AnchorPlacement(height_cm, turn_deg, why, round(landmark_m * 100), passed_over, highest_cm, searched)


class _Heights(Struct, frozen=True):
    """The comparison of anchor heights at home for one position, with the body turn as it is."""

    profile: Profile
    position: Position
    turn_deg: float
    limits: Mapping[str, float]
    searched: dict[int, StepSearch] = field(default_factory=dict)

    def choose(self, by_nearness: list[int], landmark_cm: float, highest_cm: int | None) -> tuple[int, HeightReason]:
        """One of the heights, given nearest to the landmark first, and why it is that one."""
        if self.position.band_runs == "level":
            return by_nearness[0], "nearest"
        allowed = [height_cm for height_cm in by_nearness if highest_cm is None or height_cm <= highest_cm]
        if not allowed:
            return min(by_nearness), "not_downward"
        below = next((height_cm for height_cm in allowed if height_cm <= landmark_cm), None)
        above = next((height_cm for height_cm in allowed if height_cm > landmark_cm), None)
        neighbours = [height_cm for height_cm in allowed if height_cm in (below, above)]
        best = self._most_even(neighbours) if len(neighbours) > 1 else neighbours[0]
        if best != allowed[0]:
            return best, "kept"
        return best, "nearest" if best == by_nearness[0] else "downward"

    def _most_even(self, heights_cm: list[int]) -> int:
        """The first height with a load step, or one with a more even load by the limit kept_gain_min."""
        first = next((height for height in heights_cm if self._steps(height)), None)
        if first is None:
            return heights_cm[0]
        steps = self._steps(first)
        mean_nm = steps[len(steps) // 2].mean_nm
        left = heights_cm[heights_cm.index(first) :]
        evenness = {height: self._evenness(mean_nm, height) for height in left}
        best = max(left, key=lambda height: evenness[height])
        return best if evenness[best] - evenness[first] >= self.limits["kept_gain_min"] else first

    def _steps(self, height_cm: int) -> tuple[LoadStep, ...]:
        marks, anchor = home_marks_cm(self.profile.home), Anchor(height_cm, self.turn_deg)
        if height_cm not in self.searched:
            self.searched[height_cm] = search_steps(self.profile, self.position, marks, anchor, self.limits)
        return self.searched[height_cm].steps

    def _evenness(self, mean_nm: float, height_cm: int) -> float:
        """The evenness of the load at a mean torque, on average over the bands; 0 where none comes near it."""

        def is_near(other_nm: float) -> bool:
            return abs(other_nm / mean_nm - 1) <= self.limits["load_rise_max"]

        found = self.searched.get(height_cm)
        if found is None:
            marks, anchor = home_marks_cm(self.profile.home), Anchor(height_cm, self.turn_deg)
            found = search_steps(self.profile, self.position, marks, anchor, self.limits, is_near)
        near = [one for one in zip(found.steps, found.evenness, strict=True) if is_near(one[0].mean_nm)]
        nearest: dict[tuple[str, int], float] = {}
        for step, evenness in sorted(near, key=lambda one: -abs(one[0].mean_nm - mean_nm)):
            nearest[step.grade, step.strands] = evenness
        return fmean(nearest.values()) if nearest else 0.0


def standing_marks_cm(profile: Profile, prescription: Prescription, position: Position) -> tuple[int, ...]:
    """Where the client may stand: the distance the therapist fixed, else every mark at home; or band underfoot."""
    fixed_cm = prescription.fixed(position.name).distance_cm
    return marks_cm(profile, position) if fixed_cm is None else (fixed_cm,)


def arc_of_step(
    profile: Profile,
    prescription: Prescription,
    position: Position,
    step: LoadStep | ChosenStep,
    limits: Mapping[str, float],
) -> Arc:
    """The load of a load step through the client's arc. Raises ValueError for a band not on the shelf."""
    placement = place_anchor(profile, prescription, position, limits)
    return arc_at(profile, position, step, step.distance_cm, placement.anchor)
