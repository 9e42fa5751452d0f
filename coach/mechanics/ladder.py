"""The load ladder: every load step that is taut at the start and under the ceiling, in order of torque."""

from collections.abc import Mapping
from dataclasses import dataclass

from coach.mechanics.anchor_placement import place_anchor, standing_marks_cm
from coach.mechanics.load_steps import RefusalReason, search_steps
from coach.model.exercise import Position
from coach.model.load_step import ChosenStep, LoadStep, Rungs
from coach.model.no_session import NoSession
from coach.model.prescription import Prescription
from coach.model.profile import Profile


class NoLoadStep(NoSession):
    """No band on the shelf makes a load step in this position."""


@dataclass(frozen=True)
class Ladder:
    """The load steps of one position for one client, in order of mean torque; never empty."""

    position_deg: int
    steps: tuple[LoadStep, ...]


def build_ladder(
    profile: Profile, prescription: Prescription, position: Position, limits: Mapping[str, float]
) -> Ladder:
    """Every grade, strands and distance mark that makes a load step, in order of mean torque in newton metres.

    Raises NoLoadStep with the reason and what to change, ImpossibleAnchor for a mark inside the body, NoArc for an
    available range that ends before the arc starts.
    """
    anchor = place_anchor(profile, prescription, position, limits).anchor
    marks = standing_marks_cm(profile, prescription, position)
    found = search_steps(profile, position, marks, anchor, limits)
    if not found.steps:
        raise NoLoadStep(_why_none(position, marks, found.refused, limits))
    return Ladder(position.abduction_deg, found.steps)


def _why_none(
    position: Position, marks_cm: tuple[int, ...], refused: frozenset[RefusalReason], limits: Mapping[str, float]
) -> str:
    """Why no step was found, and what to change."""
    over = f"stretches more than {limits['elongation_max'] * 100:.0f} % beyond its resting length"
    reasons: dict[frozenset[RefusalReason], str] = {
        frozenset({"slack"}): "every band is slack at the start of the arc: "
        "take a shorter band, or allow marks farther away",
        frozenset({"over"}): f"every band {over}: take a longer band, or allow marks nearer to the anchor",
        frozenset({"slack", "over"}): f"every band either is slack at the start of the arc or {over} further out: "
        "take a band of another length, allow marks farther away, or set the marks closer together",
    }
    why = reasons.get(
        refused,
        "wherever a band is taut and below its ceiling it helps the arm along instead of loading it: "
        f"fix the anchor {'lower' if position.direction == 'external' else 'higher'}, or change the body turn",
    )
    marks = f"marks {marks_cm[0]} to {marks_cm[-1]} cm" if len(marks_cm) > 1 else f"mark {marks_cm[0]} cm"
    return f"no load step at {position.abduction_deg} degrees, from the {marks} from the anchor: {why}"


def next_step(ladder: Ladder, step: LoadStep, limits: Mapping[str, float]) -> LoadStep | None:
    """The lightest step heavier by load_rise_min or more; None where there is none.

    Where it is heavier by more than load_rise_max, the repetitions start again at the bottom of their range.
    2-10 %: ACSM position stand, Med Sci Sports Exerc 2009;41(3):687-708 (abstract).
    """
    least_nm = step.mean_nm * (1 + limits["load_rise_min"])
    for other in ladder.steps:
        if other.mean_nm >= least_nm and other.mean_nm > step.mean_nm:
            return other
    return None


def easier_step(ladder: Ladder, step: LoadStep, limits: Mapping[str, float]) -> LoadStep | None:
    """The heaviest step lighter by load_rise_min or more; None at the bottom."""
    most_nm = step.mean_nm * (1 - limits["load_rise_min"])
    for other in reversed(ladder.steps):
        if other.mean_nm <= most_nm and other.mean_nm < step.mean_nm:
            return other
    return None


def lighter_grade(ladder: Ladder, step: LoadStep) -> LoadStep | None:
    """The next lighter band at the same mark with as many strands; None where it is no load step there."""
    for other in reversed(ladder.steps):
        same_place = (other.strands, other.distance_cm) == (step.strands, step.distance_cm)
        if same_place and other.grade != step.grade and other.mean_nm < step.mean_nm:
            return other
    return None


def rungs(ladder: Ladder, step: LoadStep, limits: Mapping[str, float]) -> Rungs:
    """A step with its neighbours."""
    return Rungs(
        step=step,
        next_step=next_step(ladder, step, limits),
        easier=easier_step(ladder, step, limits),
        lighter=lighter_grade(ladder, step),
    )


def same_step(ladder: Ladder, step: LoadStep | ChosenStep) -> LoadStep | None:
    """The step of this ladder with the same grade, strands and distance; None where it has none."""
    for other in ladder.steps:
        if (other.grade, other.strands, other.distance_cm) == (step.grade, step.strands, step.distance_cm):
            return other
    return None


def nearest_steps(ladder: Ladder, wanted: ChosenStep, most: int = 3) -> tuple[LoadStep, ...]:
    """The `most` steps most like the one wanted: its band first, then its strands, then the nearest distance."""

    def unlike(step: LoadStep) -> tuple[bool, bool, int]:
        distance_cm = abs(step.distance_cm - wanted.distance_cm)
        return step.grade != wanted.grade, step.strands != wanted.strands, distance_cm

    return tuple(sorted(ladder.steps, key=unlike)[:most])


def find_step(ladder: Ladder, step: LoadStep) -> LoadStep:
    """The same step in this ladder, else the heaviest that is not above its torque, else the lowest."""
    same = same_step(ladder, step)
    if same is not None:
        return same
    below = [other for other in ladder.steps if other.mean_nm <= step.mean_nm]
    return below[-1] if below else ladder.steps[0]


def first_step(
    ladder: Ladder, profile: Profile, prescription: Prescription, position: Position, limits: Mapping[str, float]
) -> LoadStep:
    """The step to begin with: the therapist's, else one from the newest measured strength, else the lowest.

    From strength it is the lowest step whose peak torque lies between first_step_low and first_step_high of the
    strength, where the infraspinatus works more than the deltoid: Bitter NL et al., J Shoulder Elbow Surg 2007
    (abstract). The lowest, because the load can rise at every session but a sore shoulder costs weeks.
    """
    if prescription.first_step is not None:
        chosen = same_step(ladder, prescription.first_step)
        if chosen is not None:
            return chosen
    strength_nm = measured_strength_nm(profile, position)
    if strength_nm is not None:
        low_nm, high_nm = limits["first_step_low"] * strength_nm, limits["first_step_high"] * strength_nm
        for step in ladder.steps:
            if low_nm <= step.peak_nm <= high_nm:
                return step
    return ladder.steps[0]


def measured_strength_nm(profile: Profile, position: Position) -> float | None:
    """The newest measured strength in a position in newton metres, force times lever; None where not measured."""
    here = (position.abduction_deg, position.direction)
    measured = [strength for strength in profile.strengths if (strength.position_deg, strength.direction) == here]
    if not measured:
        return None
    newest = max(measured, key=lambda strength: strength.on)
    return newest.force_n * newest.lever_m
