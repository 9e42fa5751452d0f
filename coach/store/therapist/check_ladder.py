"""Checks that a client's files, without faults so far, give a load step in every position of the goal."""

from collections.abc import Iterator, Sequence

from coach.mechanics.anchor import ImpossibleAnchor
from coach.mechanics.ladder import NoLoadStep, found_steps
from coach.mechanics.torque import NoArc
from coach.model.base import Name, Side
from coach.model.content import Content
from coach.model.exercise import Position
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.programme.seen_at_visits import as_seen_at, in_order
from coach.store.therapist.check_prescribed import ExerciseSource
from coach.store.therapist.check_visits import VisitSource
from coach.toml.diagnostic import Diagnostic
from coach.toml.source_file import SourceFile


def check_ladder(
    profile: Profile,
    one: ExerciseSource,
    content: Content,
    of_profile: SourceFile,
    visits: Sequence[VisitSource],
) -> Iterator[Diagnostic]:
    """Faults where they are caused: no load step, a mark inside the body, a range that ends before its start."""
    prescription, side = one.prescription, one.side or profile.side
    in_use = as_seen_at(in_order([one.visit for one in visits]), profile).on_side(side).with_bands(prescription.bands)
    limits, exercise = content.limit_values(prescription.limits), content.exercises[prescription.exercise]
    for name in prescription.positions:
        position = exercise.position(name)
        try:
            found_steps(in_use, prescription, position, limits)
        except NoLoadStep as nothing:
            expected = "a band that is taut at the start and under its ceiling"
            yield of_profile.at_key(("home",), one.about(nothing.what), expected, nothing.fix)
        except ImpossibleAnchor as inside:
            what, fixed = one.about(inside.what), _fixed_at(prescription, name)
            if fixed is not None:
                expected = "a mark away from it"
                yield one.source.at_value(("setups", fixed, "distance_cm"), what, expected, inside.fix)
            else:
                expected = "a mark away from the anchor"
                yield of_profile.at_value(("home", "nearest_cm"), what, expected, inside.fix)
        except NoArc as narrow:
            yield _range_fault(one.about(narrow.what), narrow.fix, profile, (side, position), of_profile, visits)


def _fixed_at(prescription: Prescription, name: Name) -> int | None:
    """The index of the setup of a position that fixes its distance; None where none does."""
    fixed = (index for index, one in enumerate(prescription.setups) if one.position == name)
    index = next(fixed, None)
    return None if index is None or prescription.setups[index].distance_cm is None else index


def _range_fault(
    what: str,
    fix: str,
    profile: Profile,
    measured: tuple[Side, Position],
    of_profile: SourceFile,
    visits: Sequence[VisitSource],
) -> Diagnostic:
    """The fault at the range that holds for a position on one side: of a visit, else of the profile."""
    side, position = measured
    at = (position.name, position.direction, side)
    here = [
        (one.on, 0, of_profile, index, "available_deg")
        for index, one in enumerate(profile.ranges)
        if (one.position, one.direction, one.side or profile.side) == at
    ]
    here += [
        (known.visit.day, 1, known.source, index, "active_deg")
        for known in visits
        for index, one in enumerate(known.visit.ranges)
        if one.place == at and one.active_deg is not None
    ]
    _, _, source, index, key = max(here, key=lambda one: one[:2])
    return source.at_value(("ranges", index, key), what, "a range beyond the start", fix)
