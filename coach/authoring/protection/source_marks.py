"""Whether the mark of a source is what the source says of itself: a choice of one's own is not a publication."""

from collections.abc import Iterator

from coach.content_files.content_folder import CONDITIONS, LIMITS, RULES, SAFETY, ContentFiles
from coach.model.content import Content
from coach.toml.diagnostic import Diagnostic
from coach.toml.source_file import SourceFile

# How a source begins that is none, and the mark that belongs to it.
_MARKS = {"Ours": "ours", "Common practice, no source": "common practice"}


def check_source_marks(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """A fault for each entry whose source says that it is none, and whose mark says that one was read."""
    for file, kind, entries in (
        (LIMITS, "limit", content.limits),
        (RULES, "rule", content.rules),
        (SAFETY, "check", content.checks.values()),
        (SAFETY, "sign", content.signs),
        (SAFETY, "region", content.regions.values()),
        (CONDITIONS, "condition", content.conditions.values()),
    ):
        for index, entry in enumerate(entries):
            mark = next((mark for begins, mark in _MARKS.items() if entry.source.startswith(begins)), entry.mark)
            if entry.mark != mark:
                what = f'the source of {entry.name} begins "{entry.source.split(":")[0]}", and its mark is "{entry.mark}"'
                fix = f'write mark = "{mark}", or the source that was read'
                key = (kind, index, "mark")
                yield SourceFile(files.folder / file).at_value(key, what, f'mark = "{mark}"', fix)
