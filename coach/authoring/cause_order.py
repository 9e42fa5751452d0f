"""The order of the faults of a content folder: the cause first, and what only follows from it under it."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path

from coach.content_files.content_folder import FORM, LIMITS, RULES, SAFETY, exercise_files
from coach.content_files.message_files import FALLBACK
from coach.model.content import Content
from coach.toml.diagnostic import Diagnostic
from coach.toml.expected import KeyPath
from coach.toml.nearest_name import nearest_name
from coach.toml.source_file import SourceFile

_MOST_PLACES = 6  # that are listed under a cause
_Entry = tuple[str, str]


def order_by_cause(folder: Path, faults: Iterable[Diagnostic]) -> tuple[Diagnostic, ...]:
    """Each fault once: files that all languages share first, then the fallback language, then the others.

    Of several faults about one entry the first is kept, and the places of the others are listed under it.
    """
    ordered = sorted(dict.fromkeys(faults), key=lambda fault: _rank(folder, fault))
    groups: dict[object, list[Diagnostic]] = {}
    for number, fault in enumerate(ordered):
        groups.setdefault(fault.about or number, []).append(fault)
    return tuple(_with_places(group[0], group[1:], folder) for group in groups.values())


def _rank(folder: Path, fault: Diagnostic) -> tuple[int, str, int, int]:
    inside = fault.path.relative_to(folder).parts if fault.path.is_relative_to(folder) else (fault.path.name,)
    last = {"exercises": 1, "stand_in": 2, FALLBACK: 3}.get(inside[0], 4) if len(inside) > 1 else 0
    return last, str(fault.path), fault.line, fault.column


def _with_places(first: Diagnostic, others: list[Diagnostic], folder: Path) -> Diagnostic:
    places = dict.fromkeys(_place(other, folder) for other in others)
    shown = [*places][:_MOST_PLACES]
    more = len(places) - len(shown)
    return replace(first, also=(*shown, *([f"and {more} more"] if more else [])))


def _place(fault: Diagnostic, folder: Path) -> str:
    path = fault.path.relative_to(folder) if fault.path.is_relative_to(folder) else fault.path
    return f"{path}:{fault.line}" if fault.line else str(path)


def misspelt_entries(
    folder: Path, content: Content, faults: Iterable[Diagnostic], limits: frozenset[str]
) -> tuple[Diagnostic, ...]:
    """The faults, where entries that are misspelt at their own place are reported there and nowhere else.

    An entry that nothing uses, with a name almost like one that several files use and that does not exist, is the
    cause of what is wrong in those files. `limits` are the names of the limits that the program reads.
    """
    found = list(faults)
    uses: dict[_Entry, set[tuple[Path, int]]] = {}
    for fault in found:
        if fault.about is not None:
            uses.setdefault(fault.about, set()).add((fault.path, fault.line))
    for (kind, name), (source, key) in _entries(folder, content).items():
        unknown = [other for of, other in uses if of == kind and other != name and (of, other) not in _known(content)]
        meant = nearest_name(name, unknown)
        if meant is None or ((kind, name) not in uses and kind != "limit"):
            continue
        places = len(uses[kind, meant]) + (kind == "limit" and meant in limits)
        if places < 2:  # as likely a misspelt use
            continue
        what = f"the {kind} is called {name} here and {meant} everywhere else"
        cause = source.at_value(key, what, f"the name {meant}", f"write {meant}", meant)
        followers = [fault for fault in found if fault.about in ((kind, name), (kind, meant))]
        found = [fault for fault in found if fault not in followers]
        found.append(_with_places(replace(cause, about=(kind, meant)), followers, folder))
    return tuple(found)


def _known(content: Content) -> set[_Entry]:
    return {
        *(("question", name) for name in _questions(content)),
        *(("fault", question.fault) for question in content.questions.values()),
        *(("check", name) for name in content.checks),
        *(("sign", sign.name) for sign in content.signs),
        *(("region", name) for name in content.regions),
        *(("rule", rule.name) for rule in content.rules),
        *(("limit", limit.name) for limit in content.limits),
    }


def _questions(content: Content) -> list[str]:
    return [*content.questions, *(one.follow_up for one in content.questions.values() if one.follow_up)]


def _entries(folder: Path, content: Content) -> Mapping[_Entry, tuple[SourceFile, KeyPath]]:
    """Where the name of each entry is written."""
    form, safety, rules, limits = (SourceFile(folder / name) for name in (FORM, SAFETY, RULES, LIMITS))
    entries: dict[_Entry, tuple[SourceFile, KeyPath]] = {}
    for index, question in enumerate(content.questions.values()):
        entries["question", question.name] = form, ("question", index, "name")
        entries.setdefault(("fault", question.fault), (form, ("question", index, "fault")))
        if question.follow_up is not None:
            entries["question", question.follow_up] = form, ("question", index, "follow_up")
    for kind, source, names in (
        ("check", safety, list(content.checks)),
        ("sign", safety, [sign.name for sign in content.signs]),
        ("region", safety, list(content.regions)),
        ("rule", rules, [rule.name for rule in content.rules]),
        ("limit", limits, [limit.name for limit in content.limits]),
    ):
        for index, name in enumerate(names):
            entries.setdefault((kind, name), (source, (kind, index, "name")))
    for stem, exercise in ((path.stem, content.exercises.get(path.stem)) for path in exercise_files(folder)):
        for index, position in enumerate(exercise.positions if exercise is not None else ()):
            at = SourceFile(folder / "exercises" / f"{stem}.toml"), ("positions", index, "abduction_deg")
            entries[f"{stem} position", str(position.abduction_deg)] = at
    return entries
