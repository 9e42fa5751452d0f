"""The load ladder: every load step that is taut, below its ceiling and resisting throughout, in order of torque."""

from bisect import bisect_left
from collections.abc import Mapping
from functools import cached_property, lru_cache

from msgspec import Struct

from coach.mechanics.anchor import Anchor
from coach.mechanics.anchor_placement import place_anchor, standing_marks_cm
from coach.mechanics.load_steps import StepRefusal, home_marks_cm, search_steps
from coach.mechanics.load_uncertainty import LoadUncertainty
from coach.mechanics.next_step import find_easier, find_lighter_grade, find_next
from coach.mechanics.step_comparison import StepComparison
from coach.model.base import Name
from coach.model.exercise import Position
from coach.model.load_step import ChosenStep, LoadStep, Rungs
from coach.model.no_session import NoSession
from coach.model.prescription import Prescription
from coach.model.profile import Profile


class NoLoadStep(NoSession):
    """No band on the shelf makes a load step in this position."""


class Ladder(Struct, frozen=True, dict=True):
    """The load steps of one position for one client, in order of mean torque; never empty.

    `found` has them as they were found, without the intervals that take most of the time of a ladder; a step that was
    put in later may have its own. `steps` has all with theirs: a session shows those of a few.
    """

    position: Name
    found: tuple[LoadStep, ...]
    comparison: StepComparison

    @cached_property
    def steps(self) -> tuple[LoadStep, ...]:
        """Every step with its interval."""
        return tuple(map(self.with_interval, self.found))

    @cached_property
    def known_rungs(self) -> dict[tuple[LoadStep, float | None], Rungs]:
        """What `rungs` found before: a session asks for the same several times before it starts."""
        return {}

    def with_interval(self, step: LoadStep) -> LoadStep:
        """A step as it is told and saved, with the 5 to 95 % interval of its mean torque."""
        return self.comparison.with_interval(step) if step.low_nm is None else step

    def with_step(self, step: LoadStep) -> "Ladder":
        """The ladder with a step more, in its place."""
        at = bisect_left(self.found, step.mean_nm, key=lambda other: other.mean_nm)
        return Ladder(self.position, (*self.found[:at], step, *self.found[at:]), self.comparison)


def build_ladder(
    profile: Profile,
    prescription: Prescription,
    position: Position,
    limits: Mapping[str, float],
    used: Mapping[str, float] | None = None,
) -> Ladder:
    """Every grade, strands and distance mark that makes a load step, in order of mean torque in newton metres.

    `used` is by how many repetitions each band has aged since it was measured, none where it is left out. Raises
    NoLoadStep with the reason and what to change, ImpossibleAnchor for a mark inside the body, NoArc for an available
    range that ends before the arc starts.
    """
    anchor, found = found_steps(profile, prescription, position, limits)
    uncertainty = LoadUncertainty(profile, position, anchor, limits, used or {})
    comparison = StepComparison(profile, position, anchor, limits, uncertainty)
    return Ladder(position.name, found, comparison)


def found_steps(
    profile: Profile, prescription: Prescription, position: Position, limits: Mapping[str, float]
) -> tuple[Anchor, tuple[LoadStep, ...]]:
    """The anchor, and the load steps of a ladder without their intervals, which take most of its time.

    Raises what `build_ladder` does.
    """
    placement = place_anchor(profile, prescription, position, limits)
    marks = standing_marks_cm(profile, prescription, position)
    found = placement.searched if marks == home_marks_cm(profile.home) else None
    if found is None:
        found = search_steps(profile, position, marks, placement.anchor, limits)
    if not found.steps:
        raise NoLoadStep(_why_none(position, marks, found.refused, limits))
    return placement.anchor, found.steps


def known_ladder(
    profile: Profile,
    prescription: Prescription,
    position: Position,
    limits: Mapping[str, float],
    used: Mapping[str, float],
) -> Ladder:
    """As `build_ladder`; one that was built before is taken again. A session asks for the same one several times."""
    return _built(_LadderOf(profile, prescription, position, dict(limits), dict(used)))


class _LadderOf(Struct, frozen=True):
    """What a ladder is built from."""

    profile: Profile
    prescription: Prescription
    position: Position
    limits: Mapping[str, float]
    used: Mapping[str, float]

    def __hash__(self) -> int:
        """Of a part: all of it is compared then, which is quick where it is the same object."""
        return hash((self.position.name, *self.used.values()))


@lru_cache(maxsize=16)
def _built(of: _LadderOf) -> Ladder:
    return build_ladder(of.profile, of.prescription, of.position, of.limits, of.used)


def _why_none(
    position: Position, marks_cm: tuple[int, ...], refused: tuple[StepRefusal, ...], limits: Mapping[str, float]
) -> str:
    """Why no step was found, and what to change."""
    over = f"stretches more than {limits['elongation_max'] * 100:.0f} % beyond its resting length"
    helps = [refusal.at for refusal in refused if refusal.reason == "helps"]
    reasons = {refusal.reason for refusal in refused}
    if helps:
        why = helping_reason(position, min(helps))
    elif reasons == {"slack"}:
        where = "at the start of the arc" if _all_at_start(position, refused) else "within the arc"
        why = f"every band is slack {where}: take a shorter band, or {_farther(position)}"
    elif reasons == {"over"}:
        why = f"every band {over}: take a longer band, or {_nearer(position)}"
    else:
        why = (
            f"every band either is slack at the start of the arc or {over} further out: "
            f"take a band of another length, {_farther(position)}, or set the marks closer together"
        )
    marks = f"marks {marks_cm[0]} to {marks_cm[-1]} cm" if len(marks_cm) > 1 else f"mark {marks_cm[0]} cm"
    where = f"with {marks_cm[0]} to {marks_cm[-1]} cm of band underfoot"
    if position.anchor == "fixed":
        where = f"from the {marks} from the anchor"
    return f"no load step at {position.in_words}, {where}: {why}"


def _farther(position: Position) -> str:
    return "allow more of it underfoot" if position.anchor == "foot" else "allow marks farther away"


def _nearer(position: Position) -> str:
    return "allow less of it underfoot" if position.anchor == "foot" else "allow marks nearer to the anchor"


def _all_at_start(position: Position, refused: tuple[StepRefusal, ...]) -> bool:
    return all(refusal.at == position.arc_start_deg for refusal in refused)


def place_on_arc(position: Position, at: float) -> str:
    """A value of the coordinate in words: degrees of the motion, or centimetres of its path."""
    if position.coordinate == "path":
        return f"{at:.0f} cm of the path"
    return f"{at:.0f} degrees" if not position.rotates else f"{at:.0f} degrees of rotation"


def helping_reason(position: Position, at: float) -> str:
    """Where a band pulls the arm along instead of loading it, and what to change, around a colon."""
    what = f"at {place_on_arc(position, at)} the band pulls the arm along instead of loading it"
    if position.anchor == "foot":
        return f"{what}: take a heavier band, or more of it underfoot"
    height = "lower" if position.direction in ("external", "raise") else "higher"
    fix = f"fix the anchor {height}, or change the body turn"
    if position.coordinate == "path":
        fix = "take a heavier band, or fix the anchor level with the hand"
    if at <= max(position.arc_start_deg, 0):  # no arc would be left, and no range is below 0
        return f"{what}: {fix}"
    unit = "cm" if position.coordinate == "path" else "degrees"
    return f"{what}: cap the range below {at:.0f} {unit}, {fix}"


def rungs(ladder: Ladder, step: LoadStep, most_peak_nm: float | None = None) -> Rungs:
    """A step with its neighbours; the next one has no peak torque above `most_peak_nm`, in newton metres."""
    key = (step, most_peak_nm)
    if key not in ladder.known_rungs:
        ladder.known_rungs[key] = _rungs(ladder, step, most_peak_nm)
    return ladder.known_rungs[key]


def _rungs(ladder: Ladder, step: LoadStep, most_peak_nm: float | None) -> Rungs:
    steps, comparison, limits = ladder.found, ladder.comparison, ladder.comparison.limits
    after = find_next(steps, step, comparison, limits, most_peak_nm)
    easier = find_easier(steps, step, comparison, limits)
    lighter = find_lighter_grade(steps, step, comparison, limits)
    smallest, largest = after.smallest, after.largest
    other = largest if largest is not None and largest != smallest else None
    return Rungs(
        step=step,
        next_step=ladder.with_interval(smallest.step) if smallest else None,
        next_chance=round(smallest.chance, 3) if smallest else None,
        next_largest=ladder.with_interval(other.step) if other else None,
        next_largest_chance=round(other.chance, 3) if other else None,
        no_next=after.none_because,
        offered=ladder.with_interval(after.offered.step) if after.offered else None,
        easier=ladder.with_interval(easier.step) if easier else None,
        easier_chance=round(easier.chance, 3) if easier else None,
        lighter=ladder.with_interval(lighter.step) if lighter else None,
        elongation=round(max(comparison.arc(step).elongation), 2),
    )


def same_step(ladder: Ladder, step: LoadStep | ChosenStep) -> LoadStep | None:
    """The step of this ladder with the same grade, strands and distance; None where it has none."""
    for other in ladder.found:
        if (other.grade, other.strands, other.distance_cm) == (step.grade, step.strands, step.distance_cm):
            return ladder.with_interval(other)
    return None


def nearest_steps(ladder: Ladder, wanted: ChosenStep, most: int = 3) -> tuple[LoadStep, ...]:
    """The `most` steps most like the one wanted: its band first, then its strands, then the nearest distance."""

    def unlike(step: LoadStep) -> tuple[bool, bool, int]:
        distance_cm = abs(step.distance_cm - wanted.distance_cm)
        return step.grade != wanted.grade, step.strands != wanted.strands, distance_cm

    return tuple(map(ladder.with_interval, sorted(ladder.found, key=unlike)[:most]))


def find_step(ladder: Ladder, step: LoadStep) -> LoadStep | None:
    """The same step in this ladder, else the heaviest that is above it neither in its mean nor in its peak torque.

    None where all are above.
    """
    same = same_step(ladder, step)
    if same is not None:
        return same
    below = [other for other in ladder.found if other.mean_nm <= step.mean_nm and other.peak_nm <= step.peak_nm]
    return ladder.with_interval(below[-1]) if below else None
