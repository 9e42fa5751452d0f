"""The check of a content folder: whether its files fit each other, in every language."""

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from msgspec.structs import replace

from coach.authoring.cause_order import (
    missing_entries,
    misspelt_entries,
    moved_position,
    order_by_cause,
    taken_out,
    without_echoes,
    wrong_headings,
)
from coach.authoring.check_exercise import check_arcs, check_band_runs, check_bands_resist
from coach.authoring.check_hazards import check_hazards
from coach.authoring.check_needs import check_need_messages, check_needs
from coach.authoring.check_pages import MESSAGE_FILES, check_extra_files, check_pages, check_stand_in
from coach.authoring.check_placeholders import check_placeholders
from coach.authoring.check_unused import (
    check_copies,
    check_exercise_names,
    check_file_names,
    check_folders,
    check_names,
    check_unused,
)
from coach.authoring.check_wording import check_wording
from coach.authoring.protection.asked_faults import check_asked_faults
from coach.authoring.protection.asked_right import check_asked_right
from coach.authoring.protection.less_protection import check_protection
from coach.authoring.protection.made_checks import check_made_checks
from coach.authoring.protection.must_say import check_must_say, check_whole_lists
from coach.authoring.protection.numbers_say import check_numbers_say
from coach.authoring.protection.rule_effects import check_stops
from coach.authoring.protection.setup_says import check_setup_says
from coach.authoring.protection.source_marks import check_source_marks
from coach.content_files import fit
from coach.content_files.check_entries import READ_BY_NAME
from coach.content_files.check_limit_values import check_limit_values
from coach.content_files.check_messages import SECOND_CUE
from coach.content_files.check_rule_order import check_rule_order
from coach.content_files.content_folder import ContentFiles, exercise_files, languages
from coach.content_files.language_data import FALLBACK
from coach.content_files.read_content import read_content
from coach.content_files.unfilled import unfilled_values, without_same_lines
from coach.model.content import Content, Gap, Messages
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file
from coach.toml.nearest_name import nearest_name
from coach.toml.source_file import SourceFile


def check_content(folder: Path) -> tuple[Diagnostic, ...]:
    """Every fault of a content folder, the cause before what follows from it; empty if there is none."""
    available = languages(folder)
    faults: dict[Diagnostic, None] = {}  # a shared file is read once for each language; its faults are listed once
    if not folder.is_dir():
        return (whole_file(folder, "there is no such folder", "a content folder", "check the path"),)
    if not available:
        what, fix = "there are no messages here", "add a folder for a language, such as en"
        return (whole_file(folder, what, "a folder for each language", fix),)
    misnamed = tuple(check_file_names(folder))
    if misnamed:
        return misnamed
    faults.update(dict.fromkeys((*check_folders(folder), *check_copies(folder), *check_exercise_names(folder))))
    unfilled = [fault for path in _own_files(folder, available) for fault in unfilled_values(path)]
    faults.update(dict.fromkeys(unfilled))
    content: Content | None = None
    for language in sorted(available, key=lambda name: (name != FALLBACK, name)):
        gaps: list[Gap] = []
        try:
            in_language = read_content(folder, language, on_gaps=gaps.extend)
        except FileFault as fault:
            faults.update(dict.fromkeys(fault.faults))
            continue
        checks = _IN_LANGUAGE if content is not None else (*_SHARED, *_IN_LANGUAGE)
        content = content or in_language
        for check in checks:
            faults.update(dict.fromkeys(check(ContentFiles(folder), in_language)))
        if checks != _IN_LANGUAGE and not faults:  # of a content that does not fit, neither says anything
            faults.update(dict.fromkeys(check_stand_in(folder, in_language)))
            faults.update(dict.fromkeys(check_protection(ContentFiles(folder), in_language)))
            faults.update(dict.fromkeys(check_asked_faults(ContentFiles(folder), in_language)))
        if content.messages.language != content.messages.fallback and FALLBACK in available:
            continue  # the fallback language is broken, so what lacks in this one is not known
        all_gaps = (*in_language.messages.gaps, *gaps)
        faults.update(dict.fromkeys(_gap_faults(all_gaps, in_language.messages, [*faults])))
    if content is None or unfilled:
        named = (_of_missing_file(folder, fault) for fault in without_same_lines(faults, unfilled))
        return order_by_cause(folder, wrong_headings(folder, named))
    causes = misspelt_entries(folder, content, without_echoes(wrong_headings(folder, faults)), READ_BY_NAME)
    return order_by_cause(folder, moved_position(folder, taken_out(missing_entries(folder, causes))))


def _own_files(folder: Path, available: Iterable[str]) -> Iterator[Path]:
    """The files of the exercises, and those of their messages in each language."""
    for path in exercise_files(folder):
        yield from (path, *(folder / language / path.name for language in available))


def _of_missing_file(folder: Path, fault: Diagnostic) -> Diagnostic:
    """A fault; that of a missing message file with the name of a file that lies there for nothing, if there is one.

    Where the exercise itself has another name than its file, that is the cause.
    """
    if fault.line or fault.path.exists() or fault.path.parent.parent != folder:
        return fault
    known = {*MESSAGE_FILES, *(path.name for path in exercise_files(folder))}
    extra = [path.name for path in fault.path.parent.glob("*.toml") if path.name not in known]
    near = nearest_name(fault.path.name, extra)
    is_known = near is not None or fault.path.name in MESSAGE_FILES
    fix = fault.fix if is_known else f"write the words of the exercise {fault.path.stem} in it, like those of another"
    return replace(fault, nearest=near, fix=fix, about=("exercise", fault.path.stem))


def _gap_faults(gaps: Iterable[Gap], messages: Messages, faults: Iterable[Diagnostic]) -> Iterator[Diagnostic]:
    """Messages that the language lacks; not those whose misspelt name is reported already."""
    reported = list(faults)
    meant = {(str(fault.path), fault.nearest) for fault in reported}
    wrong = {fault.about[1] for fault in reported if fault.about is not None}
    second = {str(fault.path) for fault in reported if fault.about is not None and fault.about[0] == SECOND_CUE}
    instead = f"until then it is shown in {messages.fallback}"
    for gap in gaps:
        path, key = Path(gap.file), tuple(gap.key.split("."))
        if not gap.key:
            what = f"there is no such file, so its messages are shown in {messages.fallback}"
            fix = f"translate {messages.fallback}/{path.name} into the language {messages.language}"
            yield whole_file(path, what, "a file of this name in each language", fix)
        elif "cues" in key and gap.file in second:
            continue  # that one fault has two cues is the cause
        elif (gap.file, key[-1]) not in meant and key[-1] not in wrong:
            what, fix = f"there is no message {gap.key}", f"{_how_to_add(key, messages.fallback)}; {instead}"
            yield SourceFile(path).at_key(key, what, "each message in each language", fix)


def _how_to_add(key: tuple[str, ...], fallback: str) -> str:
    """What to type where a message is missing; a cue, and a line that is one of several, is added to a list."""
    if "cues" in key:
        end = key.index("cues")
        header, fault = ".".join(key[: end + 1]), key[end + 1]
        if key[end + 2 :] in ((), ("text",)):
            return f'add [[{header}]] with fault = "{fault}" and its text'
        return f'add {key[end + 2]} to the [[{header}]] with fault = "{fault}"'
    lines = key[-1].isdigit() and len(key) > 1 and key[-2] != "position"
    name, table = (key[-2], key[:-2]) if lines else (key[-1], key[:-1])
    where = f" to [{'.'.join(table)}]" if table else " above the first table"
    return f"add line {key[-1]} of {name}{where}, or take it out of {fallback}" if lines else f"add {name}{where}"


def _of_folder(check: Callable[[Path, Content], Iterator[Diagnostic]]) -> fit.Check:
    return lambda files, content: check(files.folder, content)


_SHARED: tuple[fit.Check, ...] = (
    *fit.SHARED,
    _of_folder(check_names),
    check_bands_resist,
    check_arcs,
    check_band_runs,
    check_made_checks,
    check_source_marks,
    _of_folder(check_needs),
    _of_folder(check_unused),
    _of_folder(check_hazards),
    check_stops,
    _of_folder(check_rule_order),
    _of_folder(check_limit_values),
)
_IN_LANGUAGE: tuple[fit.Check, ...] = (
    *fit.IN_LANGUAGE,
    _of_folder(check_pages),
    _of_folder(check_extra_files),
    check_placeholders,
    check_wording,
    check_whole_lists,
    check_must_say,
    check_setup_says,
    check_numbers_say,
    check_asked_right,
    _of_folder(check_need_messages),
)
