"""The check of a clinic's folder, and what it overrides."""

from collections.abc import Iterator
from pathlib import Path

from msgspec.structs import replace

from coach.authoring.cause_order import moved_position, order_by_cause
from coach.authoring.check_exercise import check_arcs, check_band_runs, check_bands_resist
from coach.authoring.check_placeholders import check_placeholders
from coach.authoring.check_unused import check_copies, check_exercise_names
from coach.authoring.check_wording import check_wording
from coach.authoring.protection.asked_right import check_asked_right
from coach.authoring.protection.made_checks import check_made_checks
from coach.authoring.protection.must_say import check_must_say
from coach.authoring.protection.numbers_say import check_numbers_say
from coach.authoring.protection.setup_says import check_setup_says
from coach.content_files.check_entries import unused_names
from coach.content_files.clinic_limits import CLINIC, CLINIC_LIMITS
from coach.content_files.content_folder import (
    EXERCISES,
    FORM,
    LETTER,
    SAFETY,
    ContentFiles,
    content_folder,
    exercise_files,
    languages,
    load_content,
)
from coach.content_files.language_data import FALLBACK
from coach.content_files.limit_checks import limit_order_faults
from coach.content_files.names_of_copies import is_name_of_copy, without_copies
from coach.content_files.unfilled import unfilled_values, without_same_lines
from coach.model.base import named_position
from coach.model.content import ClinicOverride, Content
from coach.model.content_entries import ClinicLimits, Form
from coach.model.exercise import Exercise
from coach.model.messages.entries import ClinicCautions
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file
from coach.toml.nearest_name import nearest_name
from coach.toml.reader import read_model
from coach.toml.source_file import SourceFile


def check_clinic(clinic: Path) -> tuple[Diagnostic, ...]:
    """Every fault of a clinic's folder, the cause before what follows from it; empty if there is none."""
    files = ContentFiles(content_folder(), clinic)
    taken = (*check_exercise_names(clinic), *_taken_questions(files), *_taken_positions(files))
    faults = dict.fromkeys((*check_copies(clinic), *_unexpected_files(files, clinic), *taken))
    if taken:
        return order_by_cause(clinic, faults)
    folders = (EXERCISES, *languages(clinic))
    names = [path.name for path in files.own_exercises]
    unfilled = [one for name in names for inside in folders for one in unfilled_values(clinic / inside / name)]
    faults.update(dict.fromkeys(unfilled))
    for language in _languages(files, clinic):
        try:
            content = load_content(files.folder, language, clinic)
        except FileFault as fault:
            faults.update(dict.fromkeys(fault.faults))
            continue
        faults.update(dict.fromkeys(_letter_faults(content)))
        faults.update(dict.fromkeys(_limit_orders(clinic, content)))
        faults.update(dict.fromkeys(_unasked(files, content)))
        for check in _CHECKS:
            found = check(files, content)
            faults.update(dict.fromkeys(fault for fault in found if fault.path.is_relative_to(clinic)))
    told = [_as_in_content(fault) for fault in faults]
    bare = {fault.path for fault in told if fault.what == "limits is missing"}  # its names are no keys without it
    told = [fault for fault in told if fault.path not in bare or fault.what == "limits is missing"]
    return order_by_cause(clinic, moved_position(clinic, without_same_lines(dict.fromkeys(told), unfilled)))


def _unasked(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """A fault for each form question of the clinic that no position asks: it would be thought to be asked."""
    if files.own_form is not None:
        names = [one.name for one in read_model(files.own_form, Form).question]
        asked = {name for one in content.exercises.values() for each in one.positions for name in each.questions}
        yield from unused_names(SourceFile(files.own_form), "question", names, asked, "no position asks")


def _as_in_content(fault: Diagnostic) -> Diagnostic:
    """A fault; limits written as the content writes them, and words that lack in English, with what a clinic does."""
    if not fault.line and fault.path.parent.name == FALLBACK and fault.what == "there is no such file":
        fix = f"write the words of {fault.path.stem} in it: they are shown where another language has none"
        return replace(fault, expected=f"the words in {FALLBACK} as well", fix=fix)
    if fault.path.name == CLINIC_LIMITS and fault.what == "limits is missing":
        return replace(fault, expected="[limits], and under it the values", fix="write the line [limits] above them")
    if fault.path.name != CLINIC_LIMITS or not fault.text.startswith("[[limit"):
        return fault
    what = "a clinic's limits are names and values, and no [[limit]]"
    expected, fix = (
        "[limits], and under it a line for each, such as: pain_max = 3",
        "write name = value under [limits]",
    )
    return replace(fault, what=what, expected=expected, fix=fix, nearest=None)


def clinic_notes(clinic: Path) -> Iterator[Diagnostic]:
    """What to think twice about: a caution that clients of another language do not read."""
    files = {one: clinic / one / SAFETY for one in languages(clinic)}
    cautions: dict[str, int] = dict.fromkeys(languages(content_folder()), 0)
    for language, path in files.items():
        try:
            cautions[language] = len(read_model(path, ClinicCautions).cautions) if path.exists() else 0
        except FileFault:
            return  # reported by the check
    most = max(cautions, key=lambda one: cautions[one], default=FALLBACK)
    for language, count in cautions.items():
        if count < cautions[most]:
            seen = f"see {count} of these {cautions[most]}" if count else "do not see what is here"
            what, fix = (
                f"clients who read {language} {seen}",
                f"if there are any, write it in {language}/{SAFETY} too",
            )
            yield SourceFile(files[most]).at_key(("cautions",), what, "", fix)


def adds_entries(clinic: Path) -> bool:
    """Whether the clinic has exercises, positions or form questions of its own."""
    files = ContentFiles(content_folder(), clinic)
    return bool(files.own_exercises) or files.own_form is not None


def overrides_of(clinic: Path) -> tuple[ClinicOverride, ...]:
    """Everything that a clinic overrides, in all its languages; empty if its folder has faults."""
    files = ContentFiles(content_folder(), clinic)
    try:
        overrides = [load_content(files.folder, one, clinic).overrides for one in _languages(files, clinic)]
    except FileFault:
        return ()
    return tuple(dict.fromkeys(override for each in overrides for override in each))


def _letter_faults(content: Content) -> tuple[Diagnostic, ...]:
    """The faults of the clinic's letter, which is read only when one is written."""
    try:
        content.messages.read_letter()
    except FileFault as fault:
        return fault.faults
    return ()


def _limit_orders(clinic: Path, content: Content) -> Iterator[Diagnostic]:
    """The faults of limits that the clinic moved past others; those out of their bounds are refused before."""
    path = clinic / CLINIC_LIMITS
    if path.exists():
        yield from limit_order_faults(read_model(path, ClinicLimits).limits, content.limits, SourceFile(path))


def _languages(files: ContentFiles, clinic: Path) -> tuple[str, ...]:
    """The languages of the clinic's messages; every language if it has exercises or questions of its own."""
    available = languages(files.folder)
    if adds_entries(clinic):
        return available
    return tuple(language for language in languages(clinic) if language in available) or available[:1]


def _taken_questions(files: ContentFiles) -> Iterator[Diagnostic]:
    """A fault for each of the clinic's questions that has the name of a shipped one."""
    if files.own_form is None:
        return
    try:
        shipped, own = read_model(files.folder / FORM, Form), read_model(files.own_form, Form)
    except FileFault:
        return  # reported by whoever reads the content
    names = {question.name for question in shipped.question}
    for index, question in enumerate(own.question):
        if question.name in names:
            what = f"the question {question.name} is in every clinic, and a clinic may not replace it"
            fix = "give the question another name"
            yield SourceFile(files.own_form).at_value(("question", index, "name"), what, "a name of its own", fix)


def _taken_positions(files: ContentFiles) -> Iterator[Diagnostic]:
    """A fault for each of the clinic's positions that the exercise has already."""
    for path in files.own_exercises:
        try:
            shipped = read_model(files.folder / EXERCISES / path.name, Exercise).positions
        except FileFault:
            continue  # an exercise of its own
        known = [position.name for position in shipped]
        for index, position in enumerate(files.own_positions(path.name)):
            if position in known:
                what = f"there is a second {named_position(position)}: a clinic may not replace one"
                fix = "give it a name of its own, or remove it"
                key = ("positions", index, "abduction_deg")
                yield SourceFile(path).at_value(key, what, "a position that is not there yet", fix)


def _unexpected_files(files: ContentFiles, clinic: Path) -> Iterator[Diagnostic]:
    """Files that would never be read: a clinic may not write them, or their names are misspelt."""
    exercises = dict.fromkeys(path.name for path in files.exercises())
    messages = [FORM, SAFETY, LETTER, *exercises]
    available = languages(files.folder)
    for path in sorted(path for path in clinic.rglob("*.toml") if path.relative_to(clinic).parts not in _ROOT):
        inside = path.relative_to(clinic).parts
        if len(inside) == 2 and inside[0] == EXERCISES:
            continue
        if len(inside) == 2 and inside[0] not in available:
            what, expected = f"there are no messages in the language {inside[0]!r}", f"one of {', '.join(available)}"
            yield whole_file(path, what, expected, "move the file into the folder of a language")
        elif path in without_copies(path.parent.glob("*.toml")) and (len(inside) != 2 or inside[1] not in messages):
            shipped = ", ".join((FORM, SAFETY, LETTER, *(one.name for one in exercise_files(files.folder))))
            expected = (
                f"{CLINIC}, {CLINIC_LIMITS}, {FORM}, {EXERCISES}/NAME.toml, and in a folder for a language {shipped}"
            )
            fix = "remove the file: all other content is the same in every clinic"
            if path.name in (CLINIC, CLINIC_LIMITS):
                fix = f"move it out of {inside[0]}: it stands beside the folders of the languages"
            elif path.name in messages and len(inside) == 1:
                fix = (
                    f"move words into the folder of a language, such as {FALLBACK}/{path.name}; the rest is the same"
                )
                fix += " in every clinic"
            is_shared = any((folder / path.name).exists() for folder in (files.folder, files.folder / FALLBACK))
            known = [CLINIC, CLINIC_LIMITS, *messages]
            free = () if is_shared else [one for one in known if not path.with_name(one).exists()]
            near = nearest_name(path.name, free)
            meant = next((one for one in known if is_name_of_copy(path.name, path.with_name(one))), None)
            if meant is not None:  # a synchronising program left the copy, and somebody took the file away
                near, fix = meant, f"rename it to {meant} if it is right, or move it elsewhere"
            yield whole_file(path, "a clinic may not write this file", expected, fix, near)


_CHECKS = (
    *(check_bands_resist, check_arcs, check_band_runs, check_made_checks, check_placeholders, check_wording),
    *(check_must_say, check_setup_says, check_numbers_say, check_asked_right),
)
_ROOT = ((CLINIC,), (CLINIC_LIMITS,), (FORM,))
