"""The content folder: where it is, which languages it speaks, and all of it read."""

from functools import cache
from pathlib import Path
from typing import TypeVar

from pydantic import BaseModel

import coach
from coach.files.diagnostic import Diagnostic, FileFault, whole_file
from coach.files.toml import read_model
from coach.model.content import Form, Limits, Rules, Safety
from coach.model.content_set import Content, PageReader, Words
from coach.model.exercise import Exercise
from coach.model.screen_words import ScreenWords
from coach.model.words import ExerciseWords, FormWords, RulesWords, SafetyWords

Model = TypeVar("Model", bound=BaseModel)

EXERCISES = "exercises"
LIMITS = "limits.toml"
RULES = "rules.toml"
FORM = "form.toml"
SAFETY = "safety.toml"
SCREENS = "screens.toml"


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


def load_content(folder: Path, language: str) -> Content:
    """A content folder in one language. FileFault with every fault in every file; the folder as a whole is
    right or wrong, so that nobody is led through a session of which a part is missing."""
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
    spoken_in = folder / language
    exercise_words = {
        path.stem: said
        for path in exercise_files(folder)
        if (said := _read(spoken_in / path.name, ExerciseWords, faults))
    }
    form_words = _read(spoken_in / FORM, FormWords, faults)
    safety_words = _read(spoken_in / SAFETY, SafetyWords, faults)
    rules_words = _read(spoken_in / RULES, RulesWords, faults)
    screens = _read(spoken_in / SCREENS, ScreenWords, faults)
    if not exercise_files(folder):
        what, mend = "there is no exercise here", "add an exercise: exercises/NAME.toml"
        faults.append(whole_file(folder / EXERCISES, what, "one file for each exercise", mend))
    if faults or not (
        limits and rules and form and safety and form_words and safety_words and rules_words and screens
    ):
        raise FileFault(faults)
    return Content(
        exercises=exercises,
        limits=limits.limit,
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
            of=_page_reader(spoken_in),
        ),
    )


def _page_reader(spoken_in: Path) -> PageReader:
    """Reads each page's words once. FileFault with every fault of the page's file."""
    return cache(lambda kind: read_model(spoken_in / kind.file, kind))


def _read(path: Path, model: type[Model], faults: list[Diagnostic]) -> Model | None:
    try:
        return read_model(path, model)
    except FileFault as fault:
        faults += fault.diagnostics
        return None


def _not_spoken(folder: Path, language: str, spoken: tuple[str, ...]) -> Diagnostic:
    if not spoken:
        what, mend = "there are no words here", "add a folder for a language, such as en, or look at the path"
        return whole_file(folder, what, "a folder for each language", mend)
    what = f"there are no words in the language {language!r}"
    mend = "take one of these languages in profile.toml, or add a folder with the words"
    return whole_file(folder / language, what, f"one of {', '.join(spoken)}", mend)
