"""The content folder: where it is, its languages, and loading it."""

from collections.abc import Callable
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from pydantic import BaseModel

import coach
from coach.content_files.clinic_limits import apply_clinic_limits
from coach.content_files.language_data import load_language
from coach.content_files.message_files import FALLBACK, MessageFiles
from coach.model.condition import Conditions, ConditionsMessages
from coach.model.content import Content, Gap, Messages
from coach.model.content_entries import Form, Limits, Rules, Safety
from coach.model.exercise import Exercise
from coach.model.messages.client import ClientMessages
from coach.model.messages.entries import ClinicCautions, ExerciseMessages, FormMessages, RulesMessages, SafetyMessages
from coach.toml.diagnostic import Diagnostic, FileFault, collect_faults, whole_file
from coach.toml.reader import read_model

if TYPE_CHECKING:
    from coach.model.messages.coach import CoachMessages
    from coach.model.messages.therapist import TherapistMessages

Model = TypeVar("Model", bound=BaseModel)
OnGaps = Callable[[tuple[Gap, ...]], None]

EXERCISES = "exercises"
LIMITS = "limits.toml"
RULES = "rules.toml"
FORM = "form.toml"
SAFETY = "safety.toml"
CLIENT = "client.toml"
THERAPIST = "therapist.toml"
COACH = "coach.toml"
CONDITIONS = "conditions.toml"


def content_folder() -> Path:
    """The content that came with the program: inside the installed package, or next to it in a source tree.

    Raises FileFault if it is not there.
    """
    package = Path(coach.__file__).parent
    for folder in (package / "content", package.parent / "content"):
        if (folder / EXERCISES).is_dir():
            return folder
    what, fix = "the content that comes with the program is missing", "install the program again"
    raise FileFault([whole_file(package / "content", what, "", fix)])


def languages(folder: Path) -> tuple[str, ...]:
    """The languages of a content folder: its folders of two letters, in order."""
    try:
        inside = [path.name for path in folder.iterdir() if path.is_dir()]
    except OSError:
        return ()
    return tuple(sorted(name for name in inside if len(name) == 2 and name.isalpha()))


def exercise_files(folder: Path) -> tuple[Path, ...]:
    """The files of the exercises, in order of their names."""
    return tuple(sorted((folder / EXERCISES).glob("*.toml")))


def load_content(folder: Path, language: str, clinic: Path | None = None, on_gaps: OnGaps | None = None) -> Content:
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
    exercises = {
        path.stem: exercise for path in exercise_files(folder) if (exercise := _read(path, Exercise, faults))
    }
    limits = _read(folder / LIMITS, Limits, faults)
    rules = _read(folder / RULES, Rules, faults)
    form = _read(folder / FORM, Form, faults)
    safety = _read(folder / SAFETY, Safety, faults)
    conditions = _read(folder / CONDITIONS, Conditions, faults)
    files = language_files(folder, language, clinic)
    exercise_messages = {
        path.stem: messages
        for path in exercise_files(folder)
        if (messages := collect_faults(partial(files.read, path.name, ExerciseMessages, ExerciseMessages), faults))
    }
    form_messages = collect_faults(lambda: files.read(FORM, FormMessages, FormMessages), faults)
    safety_messages = collect_faults(lambda: files.read(SAFETY, SafetyMessages, ClinicCautions), faults)
    rules_messages = collect_faults(lambda: files.read(RULES, RulesMessages), faults)
    client_messages = collect_faults(lambda: files.read(CLIENT, ClientMessages), faults)
    condition_messages = collect_faults(lambda: files.read(CONDITIONS, ConditionsMessages), faults)
    values = limits.limit if limits else ()
    moved = collect_faults(lambda: apply_clinic_limits(clinic, values), faults) if clinic and values else (values, ())
    if not exercise_files(folder):
        what, fix = "there is no exercise here", "add an exercise: exercises/NAME.toml"
        faults.append(whole_file(folder / EXERCISES, what, "one file for each exercise", fix))
    if faults or not (
        moved
        and rules
        and form
        and safety
        and form_messages
        and safety_messages
        and rules_messages
        and client_messages
        and conditions
        and condition_messages
    ):
        raise FileFault(faults)
    lazy = language_files(folder, language)
    return Content(
        exercises=exercises,
        limits=moved[0],
        rules=rules.rule,
        questions={question.name: question for question in form.question},
        checks={check.name: check for check in safety.check},
        signs=safety.sign,
        regions={region.name: region for region in safety.region},
        messages=Messages(
            language=language,
            exercises=exercise_messages,
            form=form_messages,
            safety=safety_messages,
            rules=rules_messages,
            client=client_messages,
            conditions=condition_messages,
            read_therapist=cache(partial(_read_therapist, lazy, on_gaps)),
            read_coach=cache(partial(_read_coach, lazy, on_gaps)),
            gaps=tuple(files.gaps),
            fallback=FALLBACK,
        ),
        overrides=(*moved[1], *files.overrides),
        conditions={one.name: one for one in conditions.condition},
    )


def language_files(folder: Path, language: str, clinic: Path | None = None) -> MessageFiles:
    """The message files of a language. The fallback language is complete, and has no fallback itself."""
    fallback = folder / FALLBACK if language != FALLBACK and FALLBACK in languages(folder) else None
    return MessageFiles(folder / language, load_language(language), fallback, clinic / language if clinic else None)


def _read_therapist(files: MessageFiles, on_gaps: OnGaps | None) -> "TherapistMessages":
    from coach.model.messages.therapist import TherapistMessages  # 20 ms that a session does not need

    return _read_later(files, THERAPIST, TherapistMessages, on_gaps)


def _read_coach(files: MessageFiles, on_gaps: OnGaps | None) -> "CoachMessages":
    from coach.model.messages.coach import CoachMessages

    return _read_later(files, COACH, CoachMessages, on_gaps)


def _read_later(files: MessageFiles, name: str, model: type[Model], on_gaps: OnGaps | None) -> Model:
    """A file of messages that is read when first asked for; `on_gaps` gets its gaps. FileFault with every fault."""
    before = len(files.gaps)
    messages = files.read(name, model)
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
