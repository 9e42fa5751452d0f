"""Whether a client's files fit each other and the content."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TypeVar

from coach.frozen import FromFile
from coach.mechanics.band_validation import slipped_points
from coach.model.base import POSITION_KEYS, Side, named_position
from coach.model.content import Content
from coach.model.prescription import Prescription
from coach.model.profile import AvailableRange, Profile, Strength, TrainingPlanFile
from coach.model.programme.programme import Programme
from coach.store.client_folder import read_progress, require_profile
from coach.store.client_paths import PLAN, PROFILE, PROGRAMME, PROGRESS, SETTINGS
from coach.store.guards.held_review import held_faults
from coach.store.home_settings import HomeSettings
from coach.store.programme.pieces import with_pieces
from coach.store.programme.prescribed import prescribed_file
from coach.store.therapist.check_days import check_written_days
from coach.store.therapist.check_files import check_files
from coach.store.therapist.check_instructions import check_instructions
from coach.store.therapist.check_ladder import check_ladder
from coach.store.therapist.check_overrule import check_load
from coach.store.therapist.check_prescribed import ExerciseSource, check_prescribed
from coach.store.therapist.check_visits import VisitSource, check_visits, visit_sources
from coach.toml.diagnostic import Diagnostic, collect_faults, sort_faults
from coach.toml.reader import is_there, parse_model, read_model
from coach.toml.source_file import SourceFile

Model = TypeVar("Model", bound=FromFile)


def check_profile(
    folder: Path, content: Content, languages: tuple[str, ...] = (), now: datetime | None = None
) -> tuple[Diagnostic, ...]:
    """Every fault of one client's folder; empty where all is well.

    `languages`: those the content speaks. `now`: dates after it are faults; None where that is not to be checked.
    """
    faults: list[Diagnostic] = []
    if not folder.is_dir():
        collect_faults(partial(require_profile, folder), faults)
        return tuple(faults)
    if is_there(folder / PROGRESS):  # derived: a client who has not begun has none
        collect_faults(lambda: read_progress(folder / PROGRESS), faults)
    if is_there(folder / SETTINGS):
        _read(SourceFile(folder / SETTINGS), HomeSettings, faults)
    if is_there(folder / PLAN):
        _read(SourceFile(folder / PLAN), TrainingPlanFile, faults)
    of_profile, of_prescribed = SourceFile(folder / PROFILE), SourceFile(prescribed_file(folder))
    unfit = check_sources(of_profile, of_prescribed, content, languages, visits=visit_sources(folder))
    unfit += (*check_instructions(folder), *check_visits(folder, content))
    faults += unfit or check_load(folder, content, of_profile, exercise_sources(of_prescribed, []))
    faults += held_faults(folder, content)
    faults += check_files(folder, now)
    if now is not None:
        faults += check_written_days(of_profile, of_prescribed, now.date())
    return sort_faults(faults)


def check_sources(
    of_profile: SourceFile,
    of_prescribed: SourceFile,
    content: Content,
    languages: tuple[str, ...] = (),
    side: Side | None = None,
    visits: Sequence[VisitSource] = (),
) -> tuple[Diagnostic, ...]:
    """Every fault of a profile and of what is prescribed, whether they are files yet or not.

    `side`: that of the one exercise of a prescription; None for that of the profile. `visits`: the client's, of which
    the newest measurement holds.
    """
    faults: list[Diagnostic] = []
    profile = _read(of_profile, Profile, faults)
    if profile is not None:
        own = profile
        faults += _slips(own, of_profile, content)
        profile = collect_faults(lambda: with_pieces(own, of_profile), faults)
    exercises = exercise_sources(of_prescribed, faults, side)
    if profile is not None and languages and profile.language not in languages:
        what = f"there are no words in the language {profile.language}"
        fix = "write one of them, or add a folder with the words"
        faults.append(of_profile.at_value(("language",), what, f"one of {', '.join(languages)}", fix))
    for one in exercises:
        faults += check_prescribed(one, profile, content)
    if profile is not None and exercises:
        faults += _conditions(profile, of_profile, content)
        faults += _measured(profile, of_profile, content)
        if not faults:  # a ladder of files that do not fit says nothing
            faults += [
                fault for one in exercises for fault in check_ladder(profile, one, content, of_profile, visits)
            ]
    return sort_faults(faults)


def exercise_sources(
    of_prescribed: SourceFile, faults: list[Diagnostic], side: Side | None = None
) -> tuple[ExerciseSource, ...]:
    """Each exercise that a prescription or a programme holds; none where it cannot be read, with its faults."""
    if of_prescribed.path.parent.name != PROGRAMME:
        prescription = _read(of_prescribed, Prescription, faults)
        return () if prescription is None else (ExerciseSource(prescription, of_prescribed, side),)
    programme = _read(of_prescribed, Programme, faults)
    if programme is None:
        return ()
    several = len(programme.names) > 1
    return tuple(
        ExerciseSource(
            programme.prescription(one.name),
            of_prescribed.inside(("exercises", index)),
            one.side,
            one.name if several else None,
        )
        for index, one in enumerate(programme.exercises)
    )


def _read(source: SourceFile, model: type[Model], faults: list[Diagnostic]) -> Model | None:
    given, path = source.text, source.path
    return collect_faults(
        lambda: read_model(path, model) if given is None else parse_model(given, path, model), faults
    )


def _slips(profile: Profile, source: SourceFile, content: Content) -> Iterator[Diagnostic]:
    """Each point of a measured band that no band can have: told first, as every load that it gives is wrong."""
    limit = content.limit_values({})["point_misfit_max"]
    for index, grade in enumerate(profile.bands):
        for one in slipped_points(grade, limit):
            point, key = one.point, ("bands", index, "points", grade.points.index(one.point), "force_n")
            what = (
                f"{point.force_n:g} N at {point.length_m:g} m does not fit the other points of the band {grade.name}"
            )
            fix = "look whether the decimal point is right, or measure this point again"
            yield source.at_value(key, what, f"about {one.fitted_n:.1f} N, by the curve of the others", fix)


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
            known = sorted({one.name for one in positions if one.direction == entry.direction})
            if entry.position not in known:
                of = f"any exercise of {entry.direction} rotation"
                what = f"there is no {named_position(entry.position)} in {of}"
                expected = f"one of {', '.join(known)}"
                where = source.written((key, index), POSITION_KEYS)
                yield source.at_value(where, what, expected, "write one of them")
