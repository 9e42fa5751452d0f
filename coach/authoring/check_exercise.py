"""The checks of each position's geometry: that the band resists through the arc, and runs as the position says."""

from collections.abc import Iterator

from coach.content_files.content_folder import ContentFiles
from coach.mechanics.anchor import Anchor
from coach.mechanics.body import body_of, landmark_height_m, nearest_landmark
from coach.mechanics.load_steps import NO_TORQUE_NM
from coach.mechanics.motion.motions import motion_of
from coach.mechanics.torque import arc_at
from coach.model.band import BandGrade, BandPoint
from coach.model.content import Content
from coach.model.exercise import AnchorSide, Position
from coach.model.load_step import ChosenStep
from coach.model.profile import Home, Profile
from coach.toml.diagnostic import Diagnostic
from coach.toml.source_file import SourceFile

# A client of average stature, marks through a room, and a band so short that it is taut from all of them, chosen by
# us: only the direction of the pull depends on them here.
_EXAMPLE_CLIENT = Profile(
    format=1,
    name="example",
    side="right",
    stature_m=1.70,
    mass_kg=70.0,
    home=Home(anchor_heights_cm=(100,), nearest_cm=150, farthest_cm=150),
    bands=(
        BandGrade(name="any", looks="any", resting_length_m=0.4, points=(BandPoint(length_m=0.8, force_n=20.0),)),
    ),
)
_TALLEST_CLIENT = _EXAMPLE_CLIENT.model_copy(update={"stature_m": 2.3})  # the most that a profile takes
_DISTANCES_CM = (80, 100, 120, 150, 200)
_UNDERFOOT_CM = (5, 15, 25)
_UNITS = {"angle": "degrees", "path": "cm"}


def check_bands_resist(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """A fault for each position in which the client has nothing to resist at some rotation of the arc.

    That is: from every mark, the band and the arm's weight together leave no torque there, or pull the arm along.
    """
    for stem, exercise in content.exercises.items():
        for index, position in enumerate(exercise.positions):
            unloaded_deg = _first_unloaded_deg(position)
            if unloaded_deg is None:
                continue
            path, number = files.position(stem, index)
            opposite: AnchorSide = "other" if position.anchor_side == "exercising" else "exercising"
            other_side = _first_unloaded_deg(position.model_copy(update={"anchor_side": opposite})) is None
            at = f"{unloaded_deg:.0f} {_UNITS[position.coordinate]}"
            what = f"at {at} of the motion the band helps instead of resisting"
            expected = f'anchor_side = "{opposite}"' if other_side else "an arc that the band resists throughout"
            fix = (
                "turn the anchor_side or the direction"
                if other_side
                else "change body_turn_deg or anchor_landmark"
                if unloaded_deg <= position.arc_start_deg
                else f"end available_deg before {unloaded_deg:.0f}, or change body_turn_deg or anchor_landmark"
            )
            yield SourceFile(path).at_value(("positions", number, "anchor_side"), what, expected, fix)


def check_arcs(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """A fault for each arc that no arm has, or that is no longer than lost range: slips of the unit."""
    limits = content.limit_values({})
    for stem, exercise in content.exercises.items():
        for index, position in enumerate(exercise.positions):
            unit = _UNITS[position.coordinate]
            farthest = motion_of(body_of(_TALLEST_CLIENT), position).farthest
            if position.available_deg > farthest:
                path, number = files.position(stem, index)
                what = f"available_deg = {position.available_deg:g} {unit} is farther than the motion goes"
                expected = f"at most {farthest:g} {unit}, the end of it for the tallest client"
                fix = f"write where it ends, in {unit} from 0"
                yield SourceFile(path).at_value(("positions", number, "available_deg"), what, expected, fix)
            lost = limits.get("range_lost_cm" if position.coordinate == "path" else "range_lost_deg")
            if lost is not None and position.available_deg - position.arc_start_deg <= lost:
                path, number = files.position(stem, index)
                what = f"the arc is {position.available_deg - position.arc_start_deg:g} {unit} long"
                expected = f"more than {lost:g} {unit}, which already count as lost range"
                fix = f"write available_deg in {unit}"
                yield SourceFile(path).at_value(("positions", number, "available_deg"), what, expected, fix)


def check_band_runs(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """A fault for each anchor_landmark from which the band cannot run as `band_runs` says, where the arc starts."""
    body = body_of(_EXAMPLE_CLIENT)
    for stem, exercise in content.exercises.items():
        for index, position in enumerate(exercise.positions):
            if position.anchor == "foot" or position.band_runs is None:
                continue
            hand_m = motion_of(body, position).hand_m(position.arc_start_deg)[2]
            nearest, landmark = nearest_landmark(body, _EXAMPLE_CLIENT, hand_m), position.anchor_landmark
            if position.band_runs == "level":
                runs, expected = landmark == nearest, f'"{nearest}", where the hand is'
                fix = f'write anchor_landmark = "{nearest}"'
            else:
                runs = landmark_height_m(body, _EXAMPLE_CLIENT, landmark) < hand_m
                expected, fix = "a place below the hand", "write a lower anchor_landmark"
            if not runs:
                path, number = files.position(stem, index)
                what = f"from the height of the {landmark} the band does not run {position.band_runs} to the hand"
                yield SourceFile(path).at_value(("positions", number, "anchor_landmark"), what, expected, fix)


def _first_unloaded_deg(position: Position) -> float | None:
    """The first rotation in degrees without a torque to resist, from the mark that loads the arm longest.

    None where there is a mark from which every rotation has one.
    """
    height_cm = landmark_height_m(body_of(_EXAMPLE_CLIENT), _EXAMPLE_CLIENT, position.anchor_landmark) * 100
    anchor = Anchor(height_cm, position.body_turn_deg, position.anchor)
    unloaded = []
    for distance_cm in _UNDERFOOT_CM if position.anchor == "foot" else _DISTANCES_CM:
        band = ChosenStep(grade="any", strands=1, distance_cm=distance_cm)
        arc = arc_at(_EXAMPLE_CLIENT, position, band, distance_cm, anchor)
        without = (at for at, nm in zip(arc.q, arc.torque_nm, strict=True) if nm <= NO_TORQUE_NM)
        first = next(without, None)
        if first is None:
            return None
        unloaded.append(first)
    return max(unloaded)
