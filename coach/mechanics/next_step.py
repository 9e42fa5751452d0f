"""The next step up and one step down: as large as asked for, and as surely heavier or lighter as the limits want."""

from collections.abc import Callable, Iterator, Mapping, Sequence

from msgspec import Struct

from coach.mechanics.step_comparison import StepComparison
from coach.model.load_step import LoadStep, NoNext


class SureStep(Struct, frozen=True):
    """A neighbouring step and the chance, from 0 to 1, that it truly lies on its side."""

    step: LoadStep
    chance: float


class NextSteps(Struct, frozen=True):
    """The smallest and the largest rise that the limits allow, or why there is none."""

    smallest: SureStep | None = None
    largest: SureStep | None = None
    none_because: NoNext | None = None
    offered: SureStep | None = None
    """The smallest rise above load_rise_max, where nothing smaller is next: for the therapist to sign."""


def find_next(
    steps: Sequence[LoadStep],
    step: LoadStep,
    comparison: StepComparison,
    limits: Mapping[str, float],
    most_peak_nm: float | None = None,
) -> NextSteps:
    """What comes after a step on a ladder in order of mean torque.

    Wanted: a mean higher by load_rise_min to load_rise_max (2-10 %: ACSM position stand, Med Sci Sports Exerc
    2009;41(3):687-708, abstract), a peak that does not fall and is not above `most_peak_nm`, and a torque that is
    nowhere lower by more than the spread. On the same band with the same strands it must be heavier by the chance
    heavier_same_band; only where there is none there, on another by heavier_other_band (both ours).
    """
    least_nm, most_nm = (step.mean_nm * (1 + limits[name]) for name in ("load_rise_min", "load_rise_max"))
    heavier = [other for other in steps if other.mean_nm >= least_nm and other.mean_nm > step.mean_nm]
    allowed = [other for other in heavier if most_peak_nm is None or other.peak_nm <= most_peak_nm]
    if not allowed:
        return NextSteps(none_because="strength" if heavier else "top")
    inside = [other for other in allowed if other.mean_nm <= most_nm]
    for band in (_same_band(step), _another_band(step)):
        sure = list(_surely_heavier(filter(band, inside), step, comparison, limits))
        if sure:
            return NextSteps(sure[0], sure[-1])
    beyond = _surely_heavier((other for other in allowed if other.mean_nm > most_nm), step, comparison, limits)
    return NextSteps(none_because="uncertain" if inside else "too_large", offered=next(beyond, None))


def find_easier(
    steps: Sequence[LoadStep], step: LoadStep, comparison: StepComparison, limits: Mapping[str, float]
) -> SureStep | None:
    """The heaviest step lighter by load_rise_min or more, without a higher peak; None at the bottom.

    It is truly lighter by the chance easier_surely.
    """
    most_nm = step.mean_nm * (1 - limits["load_rise_min"])
    lighter = (other for other in reversed(steps) if other.mean_nm <= most_nm and other.mean_nm < step.mean_nm)
    return next(_surely_lighter(lighter, step, comparison, limits), None)


def find_lighter_grade(
    steps: Sequence[LoadStep], step: LoadStep, comparison: StepComparison, limits: Mapping[str, float]
) -> SureStep | None:
    """The heaviest step of a lighter band at the same mark with as many strands; None where there is none.

    It is truly lighter by the chance easier_surely.
    """
    place = (step.strands, step.distance_cm)
    lighter = (
        other
        for other in reversed(steps)
        if (other.strands, other.distance_cm) == place and other.grade != step.grade and other.mean_nm < step.mean_nm
    )
    return next(_surely_lighter(lighter, step, comparison, limits), None)


def _same_band(step: LoadStep) -> Callable[[LoadStep], bool]:
    return lambda other: (other.grade, other.strands) == (step.grade, step.strands)


def _another_band(step: LoadStep) -> Callable[[LoadStep], bool]:
    return lambda other: (other.grade, other.strands) != (step.grade, step.strands)


def _surely_heavier(
    others: Iterator[LoadStep], step: LoadStep, comparison: StepComparison, limits: Mapping[str, float]
) -> Iterator[SureStep]:
    """Those of the steps that are heavier as surely as the limits want, and lighter in no way that counts."""
    for other in others:
        wanted = limits["heavier_same_band" if _same_band(step)(other) else "heavier_other_band"]
        chance = comparison.chance_heavier(other, step)
        if chance >= wanted and other.peak_nm >= step.peak_nm and comparison.nowhere_lighter(other, step):
            yield SureStep(other, chance)


def _surely_lighter(
    others: Iterator[LoadStep], step: LoadStep, comparison: StepComparison, limits: Mapping[str, float]
) -> Iterator[SureStep]:
    for other in others:
        if other.peak_nm <= step.peak_nm:
            chance = comparison.chance_heavier(step, other)
            if chance >= limits["easier_surely"]:
                yield SureStep(other, chance)
