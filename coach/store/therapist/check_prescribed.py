"""Whether one exercise as it is prescribed fits the client's home and the content."""

from collections.abc import Iterator

from msgspec import Struct

from coach.content_files.limit_checks import limit_faults, limit_order_faults
from coach.model.base import POSITION_KEYS, Name, Side, named_position, position_in_words
from coach.model.content import Content
from coach.model.exercise import Exercise
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.progression.clearing import cleared_above_cap
from coach.store.client_paths import PROFILE
from coach.toml.diagnostic import Diagnostic
from coach.toml.expected import KeyPath
from coach.toml.nearest_name import nearest_name
from coach.toml.source_file import SourceFile


class ExerciseSource(Struct, frozen=True):
    """One exercise as it is prescribed, and the table of the file that holds it; of format 1 the whole file.

    `name` is that of a programme of several exercises, so that a fault in another file can say which it is about.
    """

    prescription: Prescription
    source: SourceFile
    side: Side | None = None
    name: Name | None = None

    def about(self, what: str) -> str:
        """What is wrong, with the name of the exercise where there are several."""
        return what if self.name is None else f"{self.name}: {what}"


def check_prescribed(one: ExerciseSource, profile: Profile | None, content: Content) -> Iterator[Diagnostic]:
    """Every fault of one exercise; without a profile, those that need none."""
    prescription, source = one.prescription, one.source
    yield from limit_faults(prescription.limits, content.limits, source)
    yield from limit_order_faults(prescription.limits, content.limits, source)
    exercise = content.exercises.get(prescription.exercise)
    if exercise is None:
        what = f"there is no exercise {prescription.exercise}"
        yield source.unknown_value(("exercise",), what, prescription.exercise, content.exercises)
    else:
        yield from _positions(prescription, source, exercise)
    yield from _setups(prescription, profile, source)
    if profile is not None:
        yield from _bands(prescription, profile, source)
        yield from _first_step(prescription, profile, source)


def _positions(prescription: Prescription, source: SourceFile, exercise: Exercise) -> Iterator[Diagnostic]:
    for index, name in enumerate(prescription.positions):
        if name not in exercise.position_names:
            what, known = f"{exercise.name} has no {named_position(name)}", exercise.position_names
            free = () if name.isdecimal() else [one for one in known if one not in prescription.positions]
            near = nearest_name(name, free)
            expected = f"one of {', '.join(known)}"
            yield source.at_value(("positions", index), what, expected, "write one of them", near)
            return
    for instruction, cap in cleared_above_cap(prescription, exercise):
        cleared = position_in_words(instruction.position or "")
        what = f"an instruction unlocks {cleared} while positions are capped at {cap}"
        index = prescription.sign_offs.index(instruction)
        yield source.at_key(("sign_offs", index), what, fix='sign what = "lift_caps" first')


def _setups(prescription: Prescription, profile: Profile | None, source: SourceFile) -> Iterator[Diagnostic]:
    fixed = [setup.position for setup in prescription.setups]
    for index, setup in enumerate(prescription.setups):
        where = source.written(("setups", index), POSITION_KEYS)
        if setup.position not in prescription.positions:
            what = f"{position_in_words(setup.position)} is not in positions, so this setup is never used"
            expected = f"one of {', '.join(prescription.positions)}"
            yield source.at_value(where, what, expected, "write one of them")
        if setup.position in fixed[:index]:
            what, fix = f"a second setup for {position_in_words(setup.position)}", "join the two"
            yield source.at_value(where, what, "one setup for a position", fix)
        heights = profile.home.anchor_heights_cm if profile is not None else ()
        if heights and setup.anchor_height_cm is not None and setup.anchor_height_cm not in heights:
            what = f"there is no anchor at {setup.anchor_height_cm} cm in the client's home"
            expected, fix = f"one of {', '.join(map(str, heights))}", f"write one of them, or add it to {PROFILE}"
            yield source.at_value(("setups", index, "anchor_height_cm"), what, expected, fix)
        if profile is not None and setup.distance_cm is not None:
            yield from _stands_at(setup.distance_cm, profile, source, ("setups", index, "distance_cm"))


def _bands(prescription: Prescription, profile: Profile, source: SourceFile) -> Iterator[Diagnostic]:
    """The bands to be used are bands at home."""
    at_home = [band.name for band in profile.bands]
    for index, name in enumerate(prescription.bands):
        if name not in at_home:
            yield _no_band(source, ("bands", index), name, at_home)


def _no_band(source: SourceFile, key: KeyPath, name: str, at_home: list[str]) -> Diagnostic:
    fix = f"write one of them, or add the band to {PROFILE}"
    return source.unknown_value(key, f"there is no band {name} in the client's home", name, at_home, fix)


def _first_step(prescription: Prescription, profile: Profile, source: SourceFile) -> Iterator[Diagnostic]:
    step, home = prescription.first_step, profile.home
    if step is None:
        return
    bands = [band.name for band in profile.bands]
    if step.grade not in bands:
        yield _no_band(source, ("first_step", "grade"), step.grade, bands)
    if step.strands not in home.strands:
        what = f"strands = {step.strands} is not how the client holds the band"
        expected = f"one of {', '.join(map(str, home.strands))}"
        yield source.at_value(("first_step", "strands"), what, expected, "write one of them")
    yield from _stands_at(step.distance_cm, profile, source, ("first_step", "distance_cm"))
    fixed_cm = prescription.fixed(prescription.positions[0]).distance_cm
    if fixed_cm is not None and fixed_cm != step.distance_cm:
        what = f"the first step is at {step.distance_cm} cm, and the setup of its position is fixed at {fixed_cm} cm"
        fix = "write the same distance in both, or take it out of the setup"
        yield source.at_value(("first_step", "distance_cm"), what, f"{fixed_cm} cm", fix)


def _stands_at(distance_cm: int, profile: Profile, source: SourceFile, key: KeyPath) -> Iterator[Diagnostic]:
    home = profile.home
    if not home.nearest_cm <= distance_cm <= home.farthest_cm:
        what = f"the client cannot stand at {distance_cm} cm"
        expected = f"from {home.nearest_cm} to {home.farthest_cm} cm, as home in {PROFILE} says"
        yield source.at_value(key, what, expected, "write a distance inside")
