"""The step to begin with, what measured strength allows, and the target that it proposes."""

import math
from collections.abc import Mapping

from coach.mechanics.ladder import Ladder, NoLoadStep
from coach.mechanics.next_step import find_next
from coach.model.exercise import Position
from coach.model.load_step import LoadStep
from coach.model.prescription import Prescription
from coach.model.profile import Profile, Strength


class AboveStrength(NoLoadStep):
    """Every load step, or the one that is asked for, is above the share of measured strength that is allowed."""


def measured_strength_nm(profile: Profile, position: Position) -> float | None:
    """The newest measured strength in a position in newton metres, force times lever; None where not measured."""
    return _newest_nm([one for one in _same_direction(profile, position) if one.position == position.name])


def known_strength_nm(profile: Profile, position: Position) -> float | None:
    """As `measured_strength_nm`; where the position was not measured, the newest of the same direction elsewhere."""
    return measured_strength_nm(profile, position) or _newest_nm(_same_direction(profile, position))


def allowed_peak_nm(
    profile: Profile, prescription: Prescription, position: Position, limits: Mapping[str, float]
) -> float | None:
    """The highest peak torque that measured strength allows, in newton metres; None where none was measured.

    The share is first_step_high for control (Bitter NL et al., J Shoulder Elbow Surg 2007, abstract) and
    strength_share_high for strength (ours). Where a position was not measured itself, the newest strength of the same
    direction in another position stands in (ours): a limit that is a little wrong is better than none.
    """
    strength_nm = known_strength_nm(profile, position)
    return None if strength_nm is None else share_allowed(prescription, limits) * strength_nm


def share_allowed(prescription: Prescription, limits: Mapping[str, float]) -> float:
    """The share of measured strength that the peak torque of a step may reach."""
    return limits["strength_share_high" if prescription.aim == "strength" else "first_step_high"]


def first_step(
    ladder: Ladder, profile: Profile, prescription: Prescription, position: Position, limits: Mapping[str, float]
) -> LoadStep:
    """The step to begin with where the therapist named none, from the newest measured strength, else the lowest.

    From strength it is the lowest step whose peak torque lies between first_step_low of the strength and the share
    that is allowed, and from which there is a next step; where none does, the nearest below. The lowest, because the
    load can rise at every session but a sore shoulder costs weeks. Raises AboveStrength where every step is above
    the allowed share.
    """
    lowest = lowest_step(ladder, profile, prescription, position, limits)
    strength_nm = measured_strength_nm(profile, position)
    most_nm = allowed_peak_nm(profile, prescription, position, limits)
    if strength_nm is None or most_nm is None:
        return lowest
    allowed = [step for step in ladder.found if step.peak_nm <= most_nm]
    inside = [step for step in allowed if step.peak_nm >= limits["first_step_low"] * strength_nm]
    if not inside:
        return ladder.with_interval(max(allowed, key=lambda step: step.peak_nm))
    for step in inside:
        if find_next(ladder.found, step, ladder.comparison, limits, most_nm).smallest is not None:
            return ladder.with_interval(step)
    return ladder.with_interval(inside[0])


def lowest_step(
    ladder: Ladder, profile: Profile, prescription: Prescription, position: Position, limits: Mapping[str, float]
) -> LoadStep:
    """The lightest step that measured strength allows. Raises AboveStrength where it allows none."""
    most_nm = allowed_peak_nm(profile, prescription, position, limits)
    for step in ladder.found:
        if most_nm is None or step.peak_nm <= most_nm:
            return ladder.with_interval(step)
    lightest = min(ladder.found, key=lambda step: step.peak_nm)
    raise AboveStrength(
        f"the lightest load step at {position.in_words} reaches {lightest.peak_nm:.2f} "
        f"{position.load_unit}, above {_of_strength(most_nm, prescription, position, limits)}: add a lighter band, "
        "allow other marks, or measure the strength again"
    )


def refuse_above_strength(
    step: LoadStep,
    named_share: float | None,
    profile: Profile,
    prescription: Prescription,
    position: Position,
    limits: Mapping[str, float],
) -> None:
    """Raise AboveStrength for a step that is asked for above the allowed share, unless the share is named.

    `named_share` is the share of measured strength that the therapist accepts for this load.
    """
    most_nm = allowed_peak_nm(profile, prescription, position, limits)
    if most_nm is None or step.peak_nm <= most_nm:
        return
    share = step.peak_nm / most_nm * share_allowed(prescription, limits)
    if named_share is not None and share <= named_share + 1e-6:
        return
    named = _rounded_up(share)
    fix = f"choose a lighter step, or overrule with a share of {named:.2f} and the reason"
    if named > 1:  # an instruction takes no share above the whole
        fix = "more than all of it is not allowed: measure it again, choose a lighter step, or add a lighter band"
    raise AboveStrength(
        f"the {step.grade} band at {step.distance_cm} cm reaches {step.peak_nm:.2f} {position.load_unit}, "
        f"above {_of_strength(most_nm, prescription, position, limits)}: {fix}"
    )


def propose_target_nm(
    ladder: Ladder, profile: Profile, prescription: Prescription, position: Position, limits: Mapping[str, float]
) -> float | None:
    """The mean torque in newton metres at which a position is done with, from the strength measured there.

    It is target_share_control or target_share_strength of that, by the aim, but no more than the heaviest step that
    strength allows. None where the strength was not measured in this position.
    """
    strength_nm = measured_strength_nm(profile, position)
    most_nm = allowed_peak_nm(profile, prescription, position, limits)
    if strength_nm is None or most_nm is None:
        return None
    reachable = [step.mean_nm for step in ladder.found if step.peak_nm <= most_nm]
    share = limits["target_share_strength" if prescription.aim == "strength" else "target_share_control"]
    return round(min(share * strength_nm, max(reachable)), 2) if reachable else None


def _of_strength(
    most_nm: float | None, prescription: Prescription, position: Position, limits: Mapping[str, float]
) -> str:
    share = share_allowed(prescription, limits)
    strength_nm = (most_nm or 0.0) / share
    return f"{share * 100:.0f} % of the measured {strength_nm:.1f} {position.load_unit}"


def _rounded_up(share: float) -> float:
    return math.ceil(share * 100 - 1e-6) / 100


def _same_direction(profile: Profile, position: Position) -> list[Strength]:
    return [one for one in profile.strengths if one.direction == position.direction]


def _newest_nm(measured: list[Strength]) -> float | None:
    newest = max(measured, key=lambda strength: strength.on, default=None)
    return None if newest is None else newest.load
