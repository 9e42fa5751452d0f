"""Checks that a client's files, without faults so far, give a load step in every position of the goal."""

from collections.abc import Iterator

from coach.mechanics.anchor import ImpossibleAnchor
from coach.mechanics.ladder import NoLoadStep, build_ladder
from coach.mechanics.torque import NoArc
from coach.model.content import Content
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.toml.diagnostic import Diagnostic
from coach.toml.source_file import SourceFile


def check_ladder(
    profile: Profile,
    prescription: Prescription,
    content: Content,
    of_profile: SourceFile,
    of_prescription: SourceFile,
) -> Iterator[Diagnostic]:
    """Faults where they are caused: no load step, a mark inside the body, a range that ends before its start."""
    in_use = profile.with_bands(prescription.bands)
    limits, exercise = content.limit_values(prescription.limits), content.exercises[prescription.exercise]
    for degrees in prescription.positions:
        position = exercise.position(degrees)
        try:
            build_ladder(in_use, prescription, position, limits)
        except NoLoadStep as nothing:
            yield of_profile.at_key(
                ("home",), nothing.what, "a band that is taut at the start and under its ceiling", nothing.fix
            )
        except ImpossibleAnchor as inside:
            fixed = [index for index, one in enumerate(prescription.setups) if one.position_deg == degrees]
            if fixed and prescription.setups[fixed[0]].distance_cm is not None:
                yield of_prescription.at_value(
                    ("setups", fixed[0], "distance_cm"), inside.what, "a mark away from it", inside.fix
                )
            else:
                yield of_profile.at_value(
                    ("home", "nearest_cm"), inside.what, "a mark away from the anchor", inside.fix
                )
        except NoArc as narrow:
            measured = enumerate(profile.ranges)
            at = (degrees, position.direction)
            here = [index for index, one in measured if (one.position_deg, one.direction) == at]
            newest = max(here, key=lambda index: profile.ranges[index].on)
            yield of_profile.at_value(
                ("ranges", newest, "available_deg"), narrow.what, "a range beyond the start", narrow.fix
            )
