"""The check that the band resists in each position: from the wrong side it would turn the arm the same way."""

from collections.abc import Iterator

from coach.content_files.content_folder import ContentFiles
from coach.mechanics.anchor import anchor_m
from coach.mechanics.arm import raise_arm_to
from coach.mechanics.body import body_of, landmark_height_m
from coach.mechanics.torque import line_of_pull
from coach.model.band import BandGrade, BandPoint
from coach.model.content import Content
from coach.model.exercise import AnchorSide, Position
from coach.model.profile import Home, Profile
from coach.toml.diagnostic import Diagnostic
from coach.toml.source_file import SourceFile

# A client of average stature and a standing mark in the middle of a room, chosen by us: only the direction of the
# pull depends on them here.
_EXAMPLE_CLIENT = Profile(
    format=1,
    name="example",
    side="right",
    stature_m=1.70,
    mass_kg=70.0,
    home=Home(anchor_heights_cm=(100,), nearest_cm=150, farthest_cm=150),
    bands=(
        BandGrade(name="any", looks="any", resting_length_m=1.0, points=(BandPoint(length_m=2.0, force_n=20.0),)),
    ),
)
_DISTANCE_M = 1.5


def check_bands_resist(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """A fault for each position in which the band is not longer at the end of the arc than at its start."""
    for stem, exercise in content.exercises.items():
        for index, position in enumerate(exercise.positions):
            if _resists(position, position.anchor_side):
                continue
            path, number = files.position(stem, index)
            opposite: AnchorSide = "other" if position.anchor_side == "exercising" else "exercising"
            other_side = _resists(position, opposite)
            what = f"from an anchor here the band helps {position.direction} rotation instead of resisting it"
            expected = f'anchor_side = "{opposite}"' if other_side else "an anchor from which the band resists"
            fix = "turn the anchor_side or the direction" if other_side else "change body_turn_deg or anchor_landmark"
            yield SourceFile(path).at_value(("positions", number, "anchor_side"), what, expected, fix)


def _resists(position: Position, side: AnchorSide) -> bool:
    """Whether the rotation stretches the band, from the start of the arc to its end."""
    body = body_of(_EXAMPLE_CLIENT)
    height_m = landmark_height_m(body, _EXAMPLE_CLIENT, position.anchor_landmark)
    anchor = anchor_m(body, _DISTANCE_M, height_m, position.body_turn_deg, side)
    arc_deg = (position.arc_start_deg, position.available_deg)
    pull = line_of_pull(raise_arm_to(body, position), anchor, arc_deg)
    return pull.length_m[-1] > pull.length_m[0]
