"""Whether the files of a content fit each other: everything that code looks up by name is there."""

from collections.abc import Callable, Iterator

from coach.content_files.check_entries import (
    check_exercises,
    check_faults,
    check_follow_ups,
    check_read_by_name,
    check_regions,
    check_rules,
    check_safety,
    check_taken_names,
)
from coach.content_files.check_messages import check_entry_messages, check_position_messages, check_rule_numbers
from coach.content_files.content_folder import ContentFiles
from coach.content_files.unfilled import unfilled_values
from coach.model.content import Content
from coach.toml.diagnostic import Diagnostic

Check = Callable[[ContentFiles, Content], Iterator[Diagnostic]]


def check_filled_in(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """Nothing of an exercise or of its messages is still to be filled in."""
    for path in files.exercises():
        yield from unfilled_values(path)
    for folder in (files.folder, *([files.clinic] if files.clinic is not None else [])):
        for stem in content.exercises:
            yield from unfilled_values(folder / content.messages.language / f"{stem}.toml")


SHARED: tuple[Check, ...] = (
    check_read_by_name,
    check_exercises,
    check_rules,
    check_follow_ups,
    check_faults,
    check_safety,
    check_taken_names,
    check_regions,
)
IN_LANGUAGE: tuple[Check, ...] = (check_filled_in, check_position_messages, check_entry_messages, check_rule_numbers)


def fit_faults(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """Every fault by which a command could look for something that is not there."""
    for check in (*SHARED, *IN_LANGUAGE):
        yield from check(files, content)
