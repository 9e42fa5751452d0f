"""Whether the mark of a source is what the source says of itself: a choice of one's own is not a publication."""

from collections.abc import Iterable, Iterator
from typing import Protocol

from coach.content_files.content_folder import CONDITIONS, LIMITS, RULES, SAFETY, ContentFiles
from coach.model.content import Content
from coach.toml.diagnostic import Diagnostic
from coach.toml.source_file import SourceFile

# How a source begins that is none, and the mark that belongs to it.
_MARKS = {"Ours": "ours", "Common practice, no source": "common practice"}


class _Sourced(Protocol):
    @property
    def name(self) -> str: ...
    @property
    def source(self) -> str: ...
    @property
    def mark(self) -> str: ...


def check_source_marks(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """A fault for each entry whose source says that it is none, and whose mark says that one was read."""
    entries: tuple[tuple[str, str, Iterable[_Sourced]], ...] = (
        (LIMITS, "limit", content.limits),
        (RULES, "rule", content.rules),
        (SAFETY, "check", content.checks.values()),
        (SAFETY, "sign", content.signs),
        (SAFETY, "region", content.regions.values()),
        (CONDITIONS, "condition", content.conditions.values()),
    )
    for file, kind, of_kind in entries:
        for index, entry in enumerate(of_kind):
            begins = next((begins for begins in _MARKS if entry.source.startswith(begins)), None)
            if begins is not None and entry.mark != _MARKS[begins]:
                mark, key = _MARKS[begins], (kind, index, "mark")
                what = f'the source of {entry.name} begins with "{begins}", and its mark is "{entry.mark}"'
                fix = f'write mark = "{mark}", or the source that was read'
                yield SourceFile(files.folder / file).at_value(key, what, f'mark = "{mark}"', fix)
