"""Whether the files of a content folder fit each other, in every language."""

from collections.abc import Callable, Iterable, Iterator, Set
from pathlib import Path

from coach.authoring.check_entries import exercises_fit, follow_ups_fit, names_once, regions_fit, rules_fit
from coach.authoring.check_exercise import bands_resist
from coach.authoring.check_messages import (
    entries_have_words,
    no_files_beside,
    pages_are_whole,
    positions_have_words,
    rule_words_name_numbers,
)
from coach.authoring.check_needs import check_need_words, check_needs
from coach.authoring.check_placeholders import places_fit
from coach.content_files.content_folder import (
    languages,
    load_content,
)
from coach.model.content import Content, Gap, Words
from coach.toml.diagnostic import Diagnostic, FileFault, in_order, whole_file
from coach.toml.source_file import Source

_Check = Callable[[Path, Content], Iterator[Diagnostic]]


def check_content(folder: Path) -> tuple[Diagnostic, ...]:
    """Every fault of a content folder; empty where all is well."""
    spoken = languages(folder)
    faults: dict[Diagnostic, None] = {}  # a shared file is read once for each language; its faults are said once
    if not spoken:
        what, mend = "there are no words here", "add a folder for a language, such as en"
        return (whole_file(folder, what, "a folder for each language", mend),)
    shared = True
    for language in spoken:
        gaps: list[Gap] = []
        try:
            content = load_content(folder, language, told=gaps.extend)
        except FileFault as fault:
            faults.update(dict.fromkeys(fault.faults))
            continue
        checks: tuple[_Check, ...] = (*_SHARED, *_IN_WORDS) if shared else _IN_WORDS
        shared = False
        for check in checks:
            faults.update(dict.fromkeys(check(folder, content)))
        meant = {(str(fault.path), fault.nearest) for fault in faults}
        faults.update(dict.fromkeys(_gap_faults((*content.words.gaps, *gaps), content.words, meant)))
    return in_order(faults)


def _gap_faults(gaps: Iterable[Gap], words: Words, meant: Set[tuple[str, str | None]]) -> Iterator[Diagnostic]:
    """Lines that are said in another language; not those of which a misspelt name was named already."""
    instead = f"until then it is said in {words.fallback}"
    for gap in gaps:
        path, key = Path(gap.file), tuple(gap.key.split("."))
        if not gap.key:
            what = f"there is no such file, so its words are said in {words.fallback}"
            mend = f"put {words.fallback}/{path.name} into the language {words.language}"
            yield whole_file(path, what, "a file of this name in each language", mend)
        elif (gap.file, key[-1]) not in meant:
            where = f" to [{'.'.join(key[:-1])}]" if key[:-1] else ""
            what, mend = f"{gap.key} has no words", f"add {key[-1]}{where}; {instead}"
            yield Source(path).at_key(key, what, "each line in each language", mend)


_SHARED: tuple[_Check, ...] = (
    names_once,
    exercises_fit,
    bands_resist,
    rules_fit,
    follow_ups_fit,
    regions_fit,
    check_needs,
)
_IN_WORDS: tuple[_Check, ...] = (
    positions_have_words,
    entries_have_words,
    rule_words_name_numbers,
    pages_are_whole,
    no_files_beside,
    places_fit,
    check_need_words,
)
