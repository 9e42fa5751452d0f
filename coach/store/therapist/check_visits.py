"""Whether the visits of a client, each in a file of its own, fit the programme and the content."""

import re
from collections.abc import Iterator, Mapping
from functools import partial
from pathlib import Path

from msgspec import Struct

from coach.content_files.caseload_needs import load_needs
from coach.content_files.content_folder import content_folder
from coach.model.content import Content
from coach.model.programme.programme import Programme
from coach.model.programme.visit_file import VisitFile
from coach.store.programme.prescribed import is_programme, versions
from coach.store.programme.visits import visit_files
from coach.store.sync_conflicts import SyncCopy, copies_of
from coach.toml.diagnostic import Diagnostic, collect_faults
from coach.toml.reader import read_model
from coach.toml.source_file import SourceFile

# When it was signed, and the computer.
_OWN_NAME = re.compile(r"\d{4}-\d\d-\d\dT\d{6}(-\w+)?\.toml")


class VisitSource(Struct, frozen=True):
    """A visit and the text that it was read from, which need not be a file yet."""

    visit: VisitFile
    source: SourceFile


def visit_sources(folder: Path) -> tuple[VisitSource, ...]:
    """Every visit of a client that can be read."""
    return tuple(VisitSource(one, SourceFile(path)) for path, one in visit_files(folder, []).items())


def check_visits(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """Every fault of visits that can be read."""
    files = visit_files(folder, [])
    yield from (copy.fault for copy in visit_copies(files))
    exercises = exercises_ever(folder)
    for path, one in files.items():
        yield from check_visit(one, SourceFile(path), content, exercises)


def check_visit(
    one: VisitFile, source: SourceFile, content: Content, exercises: tuple[str, ...]
) -> Iterator[Diagnostic]:
    """Every fault of one visit. `exercises`: the names of every version of the programme."""
    yield from _places(one, source, content)
    for index, condition in enumerate(one.condition):
        if condition.kind not in content.conditions:
            what = f"there is no condition {condition.kind}"
            yield source.unknown_value(("condition", index, "kind"), what, condition.kind, list(content.conditions))
    for index, ended in enumerate(one.condition_over):
        kind = ended.partition(" ")[0]
        if kind not in content.conditions:
            what = f"there is no condition {kind}"
            known_kinds = list(content.conditions)
            yield source.unknown_value(("condition_over", index), what, kind, known_kinds, taken=one.condition_over)
    questions = list(content.questions)
    for index, seen in enumerate(one.form):
        if seen.question not in questions:
            what = f"there is no form question {seen.question}"
            yield source.unknown_value(("form", index, "question"), what, seen.question, questions)
        if exercises and seen.exercise not in exercises:
            what = f"the programme has no exercise {seen.exercise}"
            yield source.unknown_value(("form", index, "exercise"), what, seen.exercise, exercises)
    known = {need.name: need for need in load_needs(content_folder())}
    for index, answer in enumerate(one.needs):
        if answer.need not in known:
            what = f"there is no need {answer.need}"
            yield source.unknown_value(("needs", index, "need"), what, answer.need, list(known))
        elif known[answer.need].holds_client and answer.how == "answered" and answer.on is None:
            what = f"the client cannot go on while {answer.need} stands, and no day says when it is looked at again"
            fix = "add on, the day on which it is asked about again; or end the review; or discharge"
            yield source.at_value(("needs", index, "how"), what, "an answer with a day", fix)
        if exercises and answer.exercise is not None and answer.exercise not in exercises:
            what = f"the programme has no exercise {answer.exercise}"
            yield source.unknown_value(("needs", index, "exercise"), what, answer.exercise, exercises)


def visit_copies(files: Mapping[Path, VisitFile]) -> Iterator[SyncCopy]:
    """The copies of visits that a program for synchronising folders has left."""
    for path, one in files.items():
        if _OWN_NAME.fullmatch(path.name):
            yield from (copy for copy in copies_of(path, one) if not _OWN_NAME.fullmatch(copy.path.name))


def _places(one: VisitFile, source: SourceFile, content: Content) -> Iterator[Diagnostic]:
    """What was measured, in positions that an exercise of this direction has."""
    positions = [position for exercise in content.exercises.values() for position in exercise.positions]
    for key, entries in (("ranges", one.ranges), ("strengths", one.strengths)):
        for index, entry in enumerate(entries):
            known = {each.name for each in positions if each.direction == entry.direction}
            if entry.position not in known:
                what = f"no exercise of direction {entry.direction} has a position {entry.position}"
                yield source.unknown_value((key, index, "position"), what, entry.position, sorted(known))


def exercises_ever(folder: Path) -> tuple[str, ...]:
    """The names of the exercises of every version of the programme; none where it cannot be read."""
    if not is_programme(folder):
        return ()
    read = (collect_faults(partial(read_model, path, Programme), []) for path in versions(folder))
    return tuple({name: None for one in read if one is not None for name in one.names})
