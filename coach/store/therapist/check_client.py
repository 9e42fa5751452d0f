"""Whether a client's files fit each other and the content."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import TypeVar

from pydantic import BaseModel

from coach.content_files.limit_checks import limit_faults
from coach.model.content import Content
from coach.model.exercise import Exercise
from coach.model.prescription import Prescription
from coach.model.profile import AvailableRange, Profile, Strength, TrainingPlanFile
from coach.model.progress import Progress
from coach.store.client_paths import PLAN, PRESCRIPTION, PROFILE, PROGRESS, SETTINGS
from coach.store.home_settings import HomeSettings
from coach.store.therapist.check_files import check_files
from coach.store.therapist.check_ladder import check_ladder
from coach.store.therapist.check_overrule import check_load
from coach.toml.diagnostic import Diagnostic, collect_faults, sort_faults
from coach.toml.expected import KeyPath
from coach.toml.reader import parse_model, read_model
from coach.toml.source_file import SourceFile

Model = TypeVar("Model", bound=BaseModel)


def check_profile(
    folder: Path, content: Content, languages: tuple[str, ...] = (), now: datetime | None = None
) -> tuple[Diagnostic, ...]:
    """Every fault of one client's folder; empty where all is well.

    `languages`: those the content speaks. `now`: dates after it are faults; None where that is not to be checked.
    """
    faults: list[Diagnostic] = []
    if (folder / PROGRESS).exists():  # derived: a client who has not begun has none
        _read(SourceFile(folder / PROGRESS), Progress, faults)
    if (folder / SETTINGS).exists():
        _read(SourceFile(folder / SETTINGS), HomeSettings, faults)
    if (folder / PLAN).exists():
        _read(SourceFile(folder / PLAN), TrainingPlanFile, faults)
    of_prescription = SourceFile(folder / PRESCRIPTION)
    of_profile = SourceFile(folder / PROFILE)
    unfit = check_sources(of_profile, of_prescription, content, languages)
    faults += unfit or check_load(folder, content, of_profile, of_prescription)
    faults += check_files(folder, now)
    return sort_faults(faults)


def check_sources(
    of_profile: SourceFile, of_prescription: SourceFile, content: Content, languages: tuple[str, ...] = ()
) -> tuple[Diagnostic, ...]:
    """Every fault of a profile and its prescription, whether they are files yet or not."""
    faults: list[Diagnostic] = []
    profile = _read(of_profile, Profile, faults)
    prescription = _read(of_prescription, Prescription, faults)
    if profile is not None and languages and profile.language not in languages:
        what = f"there are no words in the language {profile.language}"
        fix = "write one of them, or add a folder with the words"
        faults.append(of_profile.at_value(("language",), what, f"one of {', '.join(languages)}", fix))
    if prescription is not None:
        faults += limit_faults(prescription.limits, content.limits, of_prescription)
        exercise = content.exercises.get(prescription.exercise)
        if exercise is None:
            faults.append(
                of_prescription.unknown_value(
                    ("exercise",),
                    f"there is no exercise {prescription.exercise}",
                    prescription.exercise,
                    content.exercises,
                )
            )
        else:
            faults += _positions(prescription, of_prescription, exercise)
            faults += _measured(profile, of_profile, content) if profile is not None else ()
        faults += _setups(prescription, profile, of_prescription)
        if profile is not None:
            faults += _conditions(profile, of_profile, content)
            faults += _bands(prescription, profile, of_prescription)
            faults += _first_step(prescription, profile, of_prescription)
        if profile is not None and not faults:  # a ladder of files that do not fit says nothing
            faults += check_ladder(profile, prescription, content, of_profile, of_prescription)
    return sort_faults(faults)


def _read(source: SourceFile, model: type[Model], faults: list[Diagnostic]) -> Model | None:
    given, path = source.text, source.path
    return collect_faults(
        lambda: read_model(path, model) if given is None else parse_model(given, path, model), faults
    )


def _degrees(exercise: Exercise) -> tuple[int, ...]:
    return tuple(position.abduction_deg for position in exercise.positions)


def _positions(prescription: Prescription, source: SourceFile, exercise: Exercise) -> Iterator[Diagnostic]:
    for index, degrees in enumerate(prescription.positions):
        if degrees not in _degrees(exercise):
            yield _no_position(source, ("positions", index), degrees, exercise)


def _conditions(profile: Profile, source: SourceFile, content: Content) -> Iterator[Diagnostic]:
    """Each condition is of a kind that the content has."""
    for index, one in enumerate(profile.condition):
        if one.kind not in content.conditions:
            what = f"there is no condition {one.kind}"
            yield source.unknown_value(("condition", index, "kind"), what, one.kind, list(content.conditions))


def _measured(profile: Profile, source: SourceFile, content: Content) -> Iterator[Diagnostic]:
    """What was measured, in positions that an exercise of this direction has."""
    positions = [position for exercise in content.exercises.values() for position in exercise.positions]
    lists: tuple[tuple[str, Sequence[AvailableRange | Strength]], ...] = (
        ("ranges", profile.ranges),
        ("strengths", profile.strengths),
    )
    for key, entries in lists:
        for index, entry in enumerate(entries):
            known = {one.abduction_deg for one in positions if one.direction == entry.direction}
            if entry.position_deg not in known:
                where = f"any exercise of {entry.direction} rotation"
                what = f"there is no position at {entry.position_deg} degrees in {where}"
                expected = f"one of {', '.join(map(str, sorted(known)))}"
                yield source.at_value((key, index, "position_deg"), what, expected, "write one of them")


def _no_position(source: SourceFile, key: tuple[str | int, ...], degrees: int, exercise: Exercise) -> Diagnostic:
    what = f"{exercise.name} has no position at {degrees} degrees"
    return source.at_value(key, what, f"one of {', '.join(map(str, _degrees(exercise)))}", "write one of them")


def _setups(prescription: Prescription, profile: Profile | None, source: SourceFile) -> Iterator[Diagnostic]:
    fixed = [setup.position_deg for setup in prescription.setups]
    for index, setup in enumerate(prescription.setups):
        if setup.position_deg not in prescription.positions:
            what = f"{setup.position_deg} degrees is not in positions, so this setup is never used"
            expected = f"one of {', '.join(map(str, prescription.positions))}"
            yield source.at_value(("setups", index, "position_deg"), what, expected, "write one of them")
        if setup.position_deg in fixed[:index]:
            what, fix = f"a second setup for {setup.position_deg} degrees", "join the two"
            yield source.at_value(("setups", index, "position_deg"), what, "one setup for a position", fix)
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
