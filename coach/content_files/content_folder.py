"""The content folder: where it is, its languages, and loading it."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from msgspec import Struct

import coach
from coach.content_files.clinic_limits import apply_clinic_limits, read_clinic
from coach.content_files.kept_content import kept_or_read, with_functions
from coach.content_files.language_data import load_language
from coach.content_files.message_files import FALLBACK, MessageFiles
from coach.content_files.names_of_copies import without_copies
from coach.frozen import FromFile
from coach.model.base import Name
from coach.model.condition import Conditions, ConditionsMessages
from coach.model.content import ClinicOverride, Content, Gap, Messages
from coach.model.content_entries import Form, FormQuestion, Limit, Limits, Rules, Safety
from coach.model.exercise import Exercise
from coach.model.messages.client import ClientMessages
from coach.model.messages.entries import ClinicCautions, ExerciseMessages, FormMessages, RulesMessages, SafetyMessages
from coach.toml.diagnostic import Diagnostic, FileFault, collect_faults, whole_file
from coach.toml.reader import is_there, read_model

if TYPE_CHECKING:
    from coach.model.messages.coach import CoachMessages
    from coach.model.messages.letter import LetterMessages
    from coach.model.messages.therapist import TherapistMessages

Model = TypeVar("Model", bound=FromFile)
OnGaps = Callable[[tuple[Gap, ...]], None]

EXERCISES = "exercises"
LIMITS = "limits.toml"
RULES = "rules.toml"
FORM = "form.toml"
SAFETY = "safety.toml"
CLIENT = "client.toml"
THERAPIST = "therapist.toml"
COACH = "coach.toml"
LETTER = "letter.toml"
CONDITIONS = "conditions.toml"


_chosen: Path | None = None  # the folder that --content named, for as long as the command runs


def content_folder() -> Path:
    """The content that commands use: the folder chosen by `using_content`, or else that of the program.

    Raises FileFault if there is none.
    """
    return _chosen if _chosen is not None else shipped_folder()


@contextmanager
def using_content(folder: Path) -> Iterator[None]:
    """Let everything that asks for the content use another folder. One command runs in a process."""
    global _chosen
    before, _chosen = _chosen, folder
    try:
        yield
    finally:
        _chosen = before


def shipped_folder() -> Path:
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
    """The files of the exercises, in order of their names, without copies that a synchronising program left."""
    return without_copies((folder / EXERCISES).glob("*.toml"))


class ContentFiles(Struct, frozen=True):
    """The files of a content folder and of the clinic whose folder is read on top of it."""

    folder: Path
    clinic: Path | None = None

    def exercises(self) -> tuple[Path, ...]:
        """The files of all exercises, the clinic's own after the others."""
        return (*exercise_files(self.folder), *self.own_exercises)

    @property
    def own_exercises(self) -> tuple[Path, ...]:
        """The files of the clinic's own exercises."""
        return exercise_files(self.clinic) if self.clinic is not None else ()

    @property
    def own_form(self) -> Path | None:
        """The file of the clinic's own form questions, if there is one."""
        path = self.clinic / FORM if self.clinic is not None else None
        return path if path is not None and is_there(path) else None

    def own_positions(self, name: str) -> tuple[Name, ...]:
        """The positions that the clinic adds to the exercise in a file of this name; empty if the file has faults."""
        for path in self.own_exercises:
            if path.name == name:
                try:
                    return read_model(path, Exercise).position_names
                except FileFault:
                    return ()
        return ()

    def position(self, stem: str, index: int) -> tuple[Path, int]:
        """The file of a position of an exercise, and its index there: a clinic's own come after those shipped."""
        shipped = self.folder / EXERCISES / f"{stem}.toml"
        own = [path for path in self.own_exercises if path.name == shipped.name]
        if not own:
            return shipped, index
        before = len(read_model(shipped, Exercise).positions) if is_there(shipped) else 0
        return (shipped, index) if index < before else (own[0], index - before)

    def messages(self, language: str, name: str) -> Path:
        """The message file of this name in a language: the content's, else the clinic's own, else that in English."""
        path = self.folder / language / name
        if self.clinic is None or is_there(path):
            return path
        own = self.clinic / language / name
        return own if is_there(own) else self.clinic / FALLBACK / name


def load_content(folder: Path, language: str, clinic: Path | None = None, on_gaps: OnGaps | None = None) -> Content:
    """As `read_content`, for use: the files also fit each other. Raises FileFault with every fault.

    The content that comes with the program is checked before it is released, so it is only read, or taken from what
    is kept of it.
    """
    shipped = folder.resolve() == shipped_folder().resolve()
    if shipped and clinic is None:
        content = kept_or_read(folder, language, partial(read_content, folder, language))
        return with_functions(content, **_read_later(folder, language, None, on_gaps))
    files, content = ContentFiles(folder, clinic), read_content(folder, language, clinic, on_gaps)
    if files.own_exercises or files.own_form is not None or not shipped:
        from coach.content_files.fit import fit_faults  # only needed for content that may have faults

        faults = tuple(fit_faults(files, content))
        if faults:
            raise FileFault(faults)
    return content


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
            **_read_later(folder, language, clinic, on_gaps),
        ),
        overrides=(*overrides, *files.overrides),
        conditions={one.name: one for one in entries.conditions.condition},
        clinic=own_clinic,
    )


def _read_later(folder: Path, language: str, clinic: Path | None, on_gaps: OnGaps | None) -> Mapping[str, Any]:
    """What reads the messages of therapist and coach, and of letters, each once and when it is first asked for."""
    return {
        "read_therapist": cache(lambda: _read_therapist(language_files(folder, language), on_gaps)),
        "read_coach": cache(lambda: _read_coach(language_files(folder, language), on_gaps)),
        "read_letter": cache(lambda: _read_letter(language_files(folder, language, clinic), on_gaps)),
    }


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


def _read_therapist(files: MessageFiles, on_gaps: OnGaps | None) -> "TherapistMessages":
    from coach.model.messages.therapist import TherapistMessages  # 20 ms that a session does not need

    return _read_file(files, THERAPIST, TherapistMessages, on_gaps)


def _read_coach(files: MessageFiles, on_gaps: OnGaps | None) -> "CoachMessages":
    from coach.model.messages.coach import CoachMessages

    return _read_file(files, COACH, CoachMessages, on_gaps)


def _read_letter(files: MessageFiles, on_gaps: OnGaps | None) -> "LetterMessages":
    from coach.model.messages.letter import LetterMessages

    return _read_file(files, LETTER, LetterMessages, on_gaps, LetterMessages)


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
