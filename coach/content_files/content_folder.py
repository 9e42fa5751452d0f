"""The content folder: where it is, which languages it speaks, and all of it read."""

from collections.abc import Callable
from functools import cache, partial
from pathlib import Path
from typing import TypeVar, cast

from pydantic import BaseModel

import coach
from coach.content_files.clinic_limits import moved_limits
from coach.content_files.language_data import language_named
from coach.content_files.message_files import FALLBACK, WordFiles
from coach.model.clinic_overlay import ClinicCautions
from coach.model.condition import Conditions, ConditionsMessages
from coach.model.content import Content, Gap, PageReader, Words
from coach.model.content_entries import Form, Limits, Rules, Safety
from coach.model.exercise import Exercise
from coach.model.messages.base_messages import PageWords
from coach.model.messages.entries import ExerciseWords, FormWords, RulesWords, SafetyWords
from coach.model.messages.session_screens import ScreenWords
from coach.toml.diagnostic import Diagnostic, FileFault, tried, whole_file
from coach.toml.reader import read_model

Model = TypeVar("Model", bound=BaseModel)
Told = Callable[[tuple[Gap, ...]], None]

EXERCISES = "exercises"
LIMITS = "limits.toml"
RULES = "rules.toml"
FORM = "form.toml"
SAFETY = "safety.toml"
SCREENS = "screens.toml"
CONDITIONS = "conditions.toml"


def content_folder() -> Path:
    """The content that came with the program: inside the installed package, or beside it in a source tree."""
    package = Path(coach.__file__).parent
    for folder in (package / "content", package.parent / "content"):
        if (folder / EXERCISES).is_dir():
            return folder
    what, mend = "the content that comes with the program is not there", "install the program again"
    raise FileFault([whole_file(package / "content", what, "", mend)])


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


def load_content(folder: Path, language: str, clinic: Path | None = None, told: Told | None = None) -> Content:
    """A content folder in one language, with what a clinic says otherwise. FileFault with every fault in every file;
    the folder as a whole is right or wrong, so that nobody is led through a session of which a part is missing.

    A line that the language lacks is said in the one that stands in for it; `told` hears of those of each page that
    is read later.
    """
    spoken = languages(folder)
    if language not in spoken:
        raise FileFault([_not_spoken(folder, language, spoken)])
    faults: list[Diagnostic] = []
    exercises = {
        path.stem: exercise for path in exercise_files(folder) if (exercise := _read(path, Exercise, faults))
    }
    limits = _read(folder / LIMITS, Limits, faults)
    rules = _read(folder / RULES, Rules, faults)
    form = _read(folder / FORM, Form, faults)
    safety = _read(folder / SAFETY, Safety, faults)
    conditions = _read(folder / CONDITIONS, Conditions, faults)
    files = word_files(folder, language, clinic)
    exercise_words = {
        path.stem: said
        for path in exercise_files(folder)
        if (said := tried(partial(files.read, path.name, ExerciseWords, ExerciseWords), faults))
    }
    form_words = tried(lambda: files.read(FORM, FormWords, FormWords), faults)
    safety_words = tried(lambda: files.read(SAFETY, SafetyWords, ClinicCautions), faults)
    rules_words = tried(lambda: files.read(RULES, RulesWords), faults)
    screens = tried(lambda: files.read(SCREENS, ScreenWords), faults)
    condition_messages = tried(lambda: files.read(CONDITIONS, ConditionsMessages), faults)
    values = limits.limit if limits else ()
    moved = tried(lambda: moved_limits(clinic, values), faults) if clinic and values else (values, ())
    if not exercise_files(folder):
        what, mend = "there is no exercise here", "add an exercise: exercises/NAME.toml"
        faults.append(whole_file(folder / EXERCISES, what, "one file for each exercise", mend))
    if faults or not (
        moved
        and rules
        and form
        and safety
        and form_words
        and safety_words
        and rules_words
        and screens
        and conditions
        and condition_messages
    ):
        raise FileFault(faults)
    return Content(
        exercises=exercises,
        limits=moved[0],
        rules=rules.rule,
        questions={question.name: question for question in form.question},
        checks={check.name: check for check in safety.check},
        signs=safety.sign,
        regions={region.name: region for region in safety.region},
        words=Words(
            language=language,
            exercises=exercise_words,
            form=form_words,
            safety=safety_words,
            rules=rules_words,
            screens=screens,
            conditions=condition_messages,
            of=_page_reader(word_files(folder, language), told),
            gaps=tuple(files.gaps),
            fallback=FALLBACK,
        ),
        own=(*moved[1], *files.own),
        conditions={one.name: one for one in conditions.condition},
    )


def word_files(folder: Path, language: str, clinic: Path | None = None) -> WordFiles:
    """Where the words of a language are: what stands in for it is whole, and needs nothing to stand in."""
    fallback = folder / FALLBACK if language != FALLBACK and FALLBACK in languages(folder) else None
    return WordFiles(folder / language, language_named(language), fallback, clinic / language if clinic else None)


def _page_reader(files: WordFiles, told: Told | None) -> PageReader:
    """Reads each page's words once. FileFault with every fault of the page's file."""

    def read(kind: type[PageWords]) -> PageWords:
        before = len(files.gaps)
        page = files.read(kind.file, kind)
        if told is not None and files.gaps[before:]:
            told(tuple(files.gaps[before:]))
        return page

    return cast(PageReader, cache(read))


def _read(path: Path, model: type[Model], faults: list[Diagnostic]) -> Model | None:
    return tried(lambda: read_model(path, model), faults)


def _not_spoken(folder: Path, language: str, spoken: tuple[str, ...]) -> Diagnostic:
    if not spoken:
        what, mend = "there are no words here", "add a folder for a language, such as en, or look at the path"
        return whole_file(folder, what, "a folder for each language", mend)
    what = f"there are no words in the language {language!r}"
    mend = "take one of these languages in profile.toml, or add a folder with the words"
    return whole_file(folder / language, what, f"one of {', '.join(spoken)}", mend)
