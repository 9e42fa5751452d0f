"""The check of a content folder: whether its files fit each other, in every language."""

from collections.abc import Callable, Iterable, Iterator, Set
from pathlib import Path

from coach.authoring.check_entries import check_exercises, check_names, check_regions, check_rules
from coach.authoring.check_exercise import check_bands_resist
from coach.authoring.check_hazards import check_hazards
from coach.authoring.check_messages import (
    check_entry_messages,
    check_extra_files,
    check_pages,
    check_position_messages,
    check_rule_numbers,
)
from coach.authoring.check_needs import check_need_messages, check_needs
from coach.authoring.check_placeholders import check_placeholders
from coach.content_files.content_folder import (
    languages,
    load_content,
)
from coach.model.content import Content, Gap, Messages
from coach.toml.diagnostic import Diagnostic, FileFault, sort_faults, whole_file
from coach.toml.source_file import SourceFile

_Check = Callable[[Path, Content], Iterator[Diagnostic]]


def check_content(folder: Path) -> tuple[Diagnostic, ...]:
    """Every fault of a content folder, in order of their positions; empty if there is none."""
    available = languages(folder)
    faults: dict[
        Diagnostic, None
    ] = {}  # a shared file is read once for each language, and its faults are listed once
    if not available:
        what, fix = "there are no messages here", "add a folder for a language, such as en"
        return (whole_file(folder, what, "a folder for each language", fix),)
    shared = True
    for language in available:
        gaps: list[Gap] = []
        try:
            content = load_content(folder, language, on_gaps=gaps.extend)
        except FileFault as fault:
            faults.update(dict.fromkeys(fault.faults))
            continue
        checks: tuple[_Check, ...] = (*_SHARED, *_IN_LANGUAGE) if shared else _IN_LANGUAGE
        shared = False
        for check in checks:
            faults.update(dict.fromkeys(check(folder, content)))
        meant = {(str(fault.path), fault.nearest) for fault in faults}
        faults.update(dict.fromkeys(_gap_faults((*content.messages.gaps, *gaps), content.messages, meant)))
    return sort_faults(faults)


def _gap_faults(gaps: Iterable[Gap], messages: Messages, meant: Set[tuple[str, str | None]]) -> Iterator[Diagnostic]:
    """Messages that the language lacks; not those whose misspelt name is reported already."""
    instead = f"until then it is shown in {messages.fallback}"
    for gap in gaps:
        path, key = Path(gap.file), tuple(gap.key.split("."))
        if not gap.key:
            what = f"there is no such file, so its messages are shown in {messages.fallback}"
            fix = f"translate {messages.fallback}/{path.name} into the language {messages.language}"
            yield whole_file(path, what, "a file of this name in each language", fix)
        elif (gap.file, key[-1]) not in meant:
            where = f" to [{'.'.join(key[:-1])}]" if key[:-1] else ""
            what, fix = f"there is no message {gap.key}", f"add {key[-1]}{where}; {instead}"
            yield SourceFile(path).at_key(key, what, "each message in each language", fix)


_SHARED: tuple[_Check, ...] = (
    check_names,
    check_exercises,
    check_bands_resist,
    check_rules,
    check_regions,
    check_needs,
    check_hazards,
)
_IN_LANGUAGE: tuple[_Check, ...] = (
    check_position_messages,
    check_entry_messages,
    check_rule_numbers,
    check_pages,
    check_extra_files,
    check_placeholders,
    check_need_messages,
)
