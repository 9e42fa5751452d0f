"""The check of content for entries that are there twice or that nothing uses, and of what else lies in the folder."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

from msgspec.structs import replace

from coach.authoring.check_hazards import HAZARDS
from coach.content_files.caseload_needs import NEEDS
from coach.content_files.check_entries import second_names, unused_names
from coach.content_files.content_folder import (
    CONDITIONS,
    EXERCISES,
    FORM,
    LIMITS,
    RULES,
    SAFETY,
    exercise_files,
    languages,
)
from coach.content_files.language_data import is_language
from coach.content_files.names_of_copies import is_name_of_copy, is_of_an_editor, without_copies
from coach.model.caseload import Needs
from coach.model.condition import Conditions
from coach.model.content import Content
from coach.model.content_entries import Form, LimitName, Safety
from coach.model.exercise import Exercise
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file
from coach.toml.nearest_name import nearest_name
from coach.toml.reader import read_bytes, read_model
from coach.toml.source_file import SourceFile

STAND_IN = "stand_in"
ROOT_FILES = (LIMITS, RULES, FORM, SAFETY, CONDITIONS, NEEDS, HAZARDS)
TEMPLATE = "template"  # what the files of a new exercise are made from
FOLDERS = (EXERCISES, "schema", STAND_IN, TEMPLATE)
_LANGUAGE_NAMES = {"english": "en", "german": "de", "deutsch": "de", "french": "fr", "francais": "fr", "dutch": "nl"}
_LANGUAGE_NAMES |= {"italian": "it", "spanish": "es", "portuguese": "pt", "polish": "pl", "turkish": "tr"}


def check_names(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """Each name in a list is there once. The files are read again, as the content has only one entry for a name."""
    form, safety = read_model(folder / FORM, Form), read_model(folder / SAFETY, Safety)
    for file, kind, names in (
        (LIMITS, "limit", [limit.name for limit in content.limits]),
        (RULES, "rule", [rule.name for rule in content.rules]),
        (FORM, "question", [question.name for question in form.question]),
        (SAFETY, "check", [check.name for check in safety.check]),
        (SAFETY, "sign", [sign.name for sign in safety.sign]),
        (SAFETY, "region", [region.name for region in safety.region]),
        (CONDITIONS, "condition", [one.name for one in read_model(folder / CONDITIONS, Conditions).condition]),
    ):
        yield from second_names(SourceFile(folder / file), kind, names)


def check_unused(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """Each limit is read by something, each question is asked in a position, and each check is made in one."""
    try:
        needs = read_model(folder / NEEDS, Needs).need
    except FileFault:
        needs = ()  # reported by the check of the needs
    positions = [position for each in content.exercises.values() for position in each.positions]
    read = [*get_args(LimitName), *(need.limit for need in needs if need.limit is not None)]
    asked = [name for position in positions for name in position.questions]
    made = [name for position in positions for name in position.checks]
    limits = [limit.name for limit in content.limits]
    yield from unused_names(SourceFile(folder / LIMITS), "limit", limits, read, "nothing reads")
    yield from unused_names(SourceFile(folder / FORM), "question", content.questions, asked, "no position asks")
    yield from unused_names(SourceFile(folder / SAFETY), "check", content.checks, made, "no position makes")


def check_exercise_names(folder: Path) -> Iterator[Diagnostic]:
    """Each exercise has the name of its file. Tried first, as its messages are looked for under that name."""
    for path in exercise_files(folder):
        try:
            name = read_model(path, Exercise).name
        except FileFault:
            continue  # reported by whoever reads the content
        if name != path.stem:
            what = f'name = "{name}" differs from the name of the file'
            found = SourceFile(path).at_value(("name",), what, f'name = "{path.stem}"', "give both the same name")
            yield replace(found, about=("exercise", path.stem))


def check_copies(folder: Path) -> Iterator[Diagnostic]:
    """Each copy of a file that a program for synchronising folders has left; nothing in it is read."""
    for inside in (folder, *(one for one in sorted(folder.iterdir()) if one.is_dir())):
        files = tuple(path for path in inside.glob("*.toml") if not is_of_an_editor(path))
        for copy in sorted(set(files) - set(without_copies(files))):
            of = next(one for one in sorted(files) if is_name_of_copy(copy.name, one))
            if _are_alike(copy, of):
                what, fix = (
                    f"this is a copy of {of.name}, and says the same",
                    "move it out of this folder, or delete it",
                )
            else:
                what = f"this is another version of {of.name}, and only {of.name} is read"
                fix = f"compare the two, write in {of.name} what is missing there, and move this one elsewhere"
            yield whole_file(copy, what, "one file of that name", fix)


def _are_alike(one: Path, other: Path) -> bool:
    try:
        return read_bytes(one) == read_bytes(other)
    except FileFault:
        return False


def check_file_names(folder: Path) -> Iterator[Diagnostic]:
    """Each file that is misnamed. Tried first: everything that it holds would be told as missing."""
    for path in without_copies(path for path in folder.glob("*.toml") if path.name not in ROOT_FILES):
        meant = nearest_name(path.name, [name for name in ROOT_FILES if not (folder / name).exists()])
        if meant is not None:
            yield whole_file(path, "this file is not read", meant, f"rename it to {meant}", meant)
    for inside in (folder, *(folder / name for name in (EXERCISES, STAND_IN, *languages(folder)))):
        others = (path for path in inside.glob("*.t*") if path.suffix != ".toml" and not is_of_an_editor(path))
        for path in sorted(path for path in others if path.is_file()):
            meant = f"{path.name.partition('.')[0]}.toml"
            what, both = "this file is not read, as its name does not end in .toml", (inside / meant).exists()
            if not both:
                yield whole_file(path, what, meant, f"rename it to {meant}", meant)
            elif ".toml." in path.name:  # an editor saved it beside the file that is read
                fix = f"put it in place of {meant} if it is newer, or remove it"
                yield whole_file(path, what, f"{meant} alone", fix, meant)
        for path in sorted(path for path in inside.glob("*.toml") if path.name != path.name.lower()):
            meant = path.name.lower()
            if not (inside / meant).exists():
                what = "a file has a name of small letters: on some computers this one is not found"
                yield whole_file(path, what, meant, f"rename it to {meant}", meant)
    yield from _misplaced(folder)


def _misplaced(folder: Path) -> Iterator[Diagnostic]:
    """Each file that holds what another folder is for; its keys would be told one by one."""
    for path in sorted((folder / EXERCISES).glob("*.toml")):
        if _WORDS_OF_EXERCISE.search(path.read_bytes()):
            what = "this holds the words of an exercise, and not the exercise itself"
            yield whole_file(
                path, what, "its positions, each under [[positions]]", "move it into the folder of its language"
            )
    for language in languages(folder):
        for path in sorted((folder / language).glob("*.toml")):
            if _EXERCISE.search(path.read_bytes()):
                what, fix = "this holds an exercise, and not its words", f"move it into {EXERCISES}/"
                yield whole_file(path, what, "what is read in this language", fix)
            elif path.name in ROOT_FILES and _ENTRIES.search(path.read_bytes()):
                what = f"this holds what {path.name} beside the folders of the languages is for, and not its words"
                fix = "take back the words of this language, and keep this file beside its folder"
                yield whole_file(path, what, "what is read in this language", fix)


_WORDS_OF_EXERCISE = re.compile(rb"^\s*\[\[?position\.", re.MULTILINE)
_EXERCISE = re.compile(rb"^\s*\[\[positions\]\]", re.MULTILINE)
_ENTRIES = re.compile(rb"^\s*\[\[(rule|question|check|sign|region|condition)\]\]", re.MULTILINE)


def check_folders(folder: Path) -> Iterator[Diagnostic]:
    """Each folder is one that is read: a language is called by its code of two letters."""
    known = [*languages(folder), *FOLDERS]
    free = [name for name in known if not (folder / name).exists()]
    for path in sorted(path for path in folder.iterdir() if path.is_dir() and not path.name.startswith(".")):
        if path.name in languages(folder) and path.name != path.name.lower():
            small = path.name.lower()
            what = f"the folder {path.name} is not found by its code {small}"
            yield whole_file(path, what, "a code of two small letters", f"rename it to {small}", small)
        elif path.name in languages(folder) and not is_language(path.name):
            what = f"{path.name} is not the code of a language"
            yield whole_file(path, what, "a code of ISO 639-1, such as en, de, fr", "give the folder the right code")
        elif path.name not in known and any(path.glob("*.toml")):
            code = _LANGUAGE_NAMES.get(path.name.lower().replace("ç", "c"))
            what = f"the folder {path.name} is not read"
            expected = "a language in two small letters, such as fr, or one of " + ", ".join(FOLDERS)
            fix = f"rename it to {code}" if code else "rename it, or move its files"
            yield whole_file(path, what, expected, fix, code or nearest_name(path.name, free))
    for path in without_copies(folder.glob("*.toml")):
        if path.name not in ROOT_FILES:
            missing = [Path(name).stem for name in ROOT_FILES if not (folder / name).exists()]
            near = nearest_name(path.stem, missing)
            what, fix = "this file is not read", "rename it, or remove it"
            yield whole_file(path, what, f"one of {', '.join(ROOT_FILES)}", fix, near and f"{near}.toml")
