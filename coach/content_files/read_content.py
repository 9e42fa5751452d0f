"""Reading a content folder in one language, with what a clinic writes on top of it."""

from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from msgspec import Struct

from coach.content_files.clinic_limits import apply_clinic_limits, read_clinic
from coach.content_files.content_folder import (
    CLIENT,
    COACH,
    CONDITIONS,
    EXERCISES,
    FORM,
    LETTER,
    LIMITS,
    RULES,
    SAFETY,
    THERAPIST,
    ContentFiles,
    OnGaps,
    exercise_files,
    languages,
    read_when_asked,
)
from coach.content_files.language_data import FALLBACK, load_language
from coach.content_files.message_files import MessageFiles
from coach.frozen import FromFile
from coach.model.condition import Conditions, ConditionsMessages
from coach.model.content import ClinicOverride, Content, Messages
from coach.model.content_entries import Form, FormQuestion, Limit, Limits, Rules, Safety
from coach.model.exercise import Exercise
from coach.model.messages.client import ClientMessages
from coach.model.messages.entries import ClinicCautions, ExerciseMessages, FormMessages, RulesMessages, SafetyMessages
from coach.toml.diagnostic import Diagnostic, FileFault, collect_faults, whole_file
from coach.toml.reader import read_model

if TYPE_CHECKING:
    from coach.model.messages.coach import CoachMessages
    from coach.model.messages.letter import LetterMessages
    from coach.model.messages.therapist import TherapistMessages

Model = TypeVar("Model", bound=FromFile)


def read_content(folder: Path, language: str, clinic: Path | None = None, on_gaps: OnGaps | None = None) -> Content:
    """The content of a folder in one language, with the overrides of a clinic.

    A message that the language lacks is taken from the fallback language. The messages of the therapist and of the
    coach are read when first asked for; `on_gaps` is then called with those that their files lack.

    Raises FileFault with every fault of every file: content is loaded as a whole or not at all, so that no session
    starts with a part of it missing.
    """
    available = languages(folder)
    if language not in available:
        raise FileFault([_no_such_language(folder, language, available)])
    faults: list[Diagnostic] = []
    own, files = ContentFiles(folder, clinic), language_files(folder, language, clinic)
    exercises = _read_exercises(own, faults)
    questions = _own_questions(own, faults)
    limits = _read_limits(own, faults)
    entries = _read_entries(own, questions, faults)
    words = _read_messages(own, files, language, questions, faults)
    own_clinic = collect_faults(lambda: read_clinic(clinic), faults)
    if faults or limits is None or entries is None or words is None or own_clinic is None:
        raise FileFault(faults)
    moved, overrides = limits
    return Content(
        exercises=exercises,
        limits=moved,
        rules=entries.rules.rule,
        questions={question.name: question for question in entries.questions},
        checks={check.name: check for check in entries.safety.check},
        signs=entries.safety.sign,
        regions={region.name: region for region in entries.safety.region},
        messages=Messages(
            language=language,
            exercises=words.exercises,
            form=words.form,
            safety=words.safety,
            rules=words.rules,
            client=words.client,
            conditions=words.conditions,
            gaps=tuple(files.gaps),
            fallback=FALLBACK,
            **read_when_asked(folder, language, clinic, on_gaps),
        ),
        overrides=(*overrides, *files.overrides),
        conditions={one.name: one for one in entries.conditions.condition},
        clinic=own_clinic,
    )


class _Entries(Struct, frozen=True):
    """What stands beside the folders of the languages, but for exercises and limits."""

    rules: Rules
    questions: tuple[FormQuestion, ...]
    safety: Safety
    conditions: Conditions


class _SessionMessages(Struct, frozen=True):
    """The messages of one language that a session needs."""

    exercises: dict[str, ExerciseMessages]
    form: FormMessages
    safety: SafetyMessages
    rules: RulesMessages
    client: ClientMessages
    conditions: ConditionsMessages


def _read_exercises(own: ContentFiles, faults: list[Diagnostic]) -> dict[str, Exercise]:
    """Every exercise, with the positions that the clinic adds to it."""
    exercises: dict[str, Exercise] = {}
    for path in own.exercises():
        exercise = _read(path, Exercise, faults)
        if exercise is not None:
            before = exercises[path.stem].positions if path.stem in exercises else ()
            exercises[path.stem] = exercise.model_copy(update={"positions": (*before, *exercise.positions)})
    return exercises


def _own_questions(own: ContentFiles, faults: list[Diagnostic]) -> tuple[FormQuestion, ...]:
    """The clinic's own form questions."""
    form = _read(own.own_form, Form, faults) if own.own_form is not None else None
    return form.question if form is not None else ()


def _read_limits(
    own: ContentFiles, faults: list[Diagnostic]
) -> tuple[tuple[Limit, ...], tuple[ClinicOverride, ...]] | None:
    """The limits as the clinic moved them, and what it moved."""
    limits = _read(own.folder / LIMITS, Limits, faults)
    if limits is None or own.clinic is None:
        return (limits.limit, ()) if limits is not None else None
    return collect_faults(partial(apply_clinic_limits, own.clinic, limits.limit), faults)


def _read_entries(
    own: ContentFiles, own_questions: tuple[FormQuestion, ...], faults: list[Diagnostic]
) -> _Entries | None:
    rules, form = _read(own.folder / RULES, Rules, faults), _read(own.folder / FORM, Form, faults)
    safety = _read(own.folder / SAFETY, Safety, faults)
    conditions = _read(own.folder / CONDITIONS, Conditions, faults)
    if rules is None or form is None or safety is None or conditions is None:
        return None
    return _Entries(rules, (*form.question, *own_questions), safety, conditions)


def _read_messages(
    own: ContentFiles,
    files: MessageFiles,
    language: str,
    own_questions: tuple[FormQuestion, ...],
    faults: list[Diagnostic],
) -> _SessionMessages | None:
    exercises = _read_exercise_messages(own, files, language, faults)
    names = [name for one in own_questions for name in (one.name, one.follow_up) if name]
    asked = frozenset(("question", name) for name in names)
    form = collect_faults(lambda: files.read(FORM, FormMessages, FormMessages, asked), faults)
    safety = collect_faults(lambda: files.read(SAFETY, SafetyMessages, ClinicCautions), faults)
    rules = collect_faults(lambda: files.read(RULES, RulesMessages), faults)
    client = collect_faults(lambda: files.read(CLIENT, ClientMessages), faults)
    conditions = collect_faults(lambda: files.read(CONDITIONS, ConditionsMessages), faults)
    if form is None or safety is None or rules is None or client is None or conditions is None:
        return None
    return _SessionMessages(exercises, form, safety, rules, client, conditions)


def _read_exercise_messages(
    own: ContentFiles, files: MessageFiles, language: str, faults: list[Diagnostic]
) -> dict[str, ExerciseMessages]:
    """The messages of each exercise: those shipped with what the clinic writes over them, then the clinic's own."""
    shipped = [path.name for path in exercise_files(own.folder)]
    if not shipped:
        what, fix = "there is no exercise here", "add an exercise: exercises/NAME.toml"
        faults.append(whole_file(own.folder / EXERCISES, what, "one file for each exercise", fix))
    read = {}
    for name in shipped:
        added = frozenset(("position", position) for position in own.own_positions(name))
        read[name] = partial(files.read, name, ExerciseMessages, ExerciseMessages, added)
    for path in own.own_exercises:
        if path.name not in shipped and own.clinic is not None:
            read[path.name] = partial(language_files(own.clinic, language).read, path.name, ExerciseMessages)
    found = {Path(name).stem: collect_faults(each, faults) for name, each in read.items()}
    return {name: messages for name, messages in found.items() if messages is not None}


def language_files(folder: Path, language: str, clinic: Path | None = None) -> MessageFiles:
    """The message files of a language. The fallback language is complete, and has no fallback itself."""
    fallback = folder / FALLBACK if language != FALLBACK and (folder / FALLBACK).is_dir() else None
    return MessageFiles(folder / language, load_language(language), fallback, clinic / language if clinic else None)


def _read_therapist(folder: Path, language: str, _: Path | None, on_gaps: OnGaps | None) -> "TherapistMessages":
    from coach.model.messages.therapist import TherapistMessages  # 20 ms that a session does not need

    return _read_file(language_files(folder, language), THERAPIST, TherapistMessages, on_gaps)


def _read_coach(folder: Path, language: str, _: Path | None, on_gaps: OnGaps | None) -> "CoachMessages":
    from coach.model.messages.coach import CoachMessages

    return _read_file(language_files(folder, language), COACH, CoachMessages, on_gaps)


def _read_letter(folder: Path, language: str, clinic: Path | None, on_gaps: OnGaps | None) -> "LetterMessages":
    from coach.model.messages.letter import LetterMessages

    return _read_file(language_files(folder, language, clinic), LETTER, LetterMessages, on_gaps, LetterMessages)


def _read_file(
    files: MessageFiles,
    name: str,
    model: type[Model],
    on_gaps: OnGaps | None,
    clinics: type[FromFile] | None = None,
) -> Model:
    """A file of messages that is read when first asked for; `on_gaps` gets its gaps. FileFault with every fault.

    `clinics` is as in `MessageFiles.read`.
    """
    before = len(files.gaps)
    messages = files.read(name, model, clinics)
    if on_gaps is not None and files.gaps[before:]:
        on_gaps(tuple(files.gaps[before:]))
    return messages


def _read(path: Path, model: type[Model], faults: list[Diagnostic]) -> Model | None:
    return collect_faults(lambda: read_model(path, model), faults)


def _no_such_language(folder: Path, language: str, available: tuple[str, ...]) -> Diagnostic:
    if not available:
        what, fix = "there are no messages here", "add a folder for a language, such as en, or check the path"
        return whole_file(folder, what, "a folder for each language", fix)
    what = f"there are no messages in the language {language!r}"
    fix = "choose one of these languages in profile.toml, or add a folder with the messages"
    return whole_file(folder / language, what, f"one of {', '.join(available)}", fix)


READ_WHEN_ASKED: Mapping[str, Callable[[Path, str, Path | None, OnGaps | None], FromFile]] = {
    "therapist": _read_therapist,
    "coach": _read_coach,
    "letter": _read_letter,
}
"""What is read when it is first asked for; only letters have words of the clinic."""
