"""The order of the faults of a content folder: the cause first, and what only follows from it under it."""

import re
from collections.abc import Iterable, Mapping
from pathlib import Path

from msgspec.structs import replace

from coach.authoring.check_hazards import HAZARDS
from coach.authoring.protection.as_shipped import shipped_content
from coach.content_files.check_entries import NO_LAST_RULE
from coach.content_files.content_folder import CONDITIONS, EXERCISES, FORM, LIMITS, RULES, SAFETY
from coach.content_files.language_data import FALLBACK
from coach.model.base import named_position
from coach.model.content import Content
from coach.model.exercise import Exercise
from coach.model.messages.entries import PositionMessages
from coach.toml.diagnostic import Diagnostic, FileFault
from coach.toml.expected import KeyPath
from coach.toml.nearest_name import nearest_name
from coach.toml.reader import is_there, read_model
from coach.toml.source_file import SourceFile

_OTHER_LANGUAGES = 4  # the rank of their files
_MOST_PLACES = 6  # that are listed under a cause
_FIRST = (LIMITS, FORM, SAFETY, RULES, CONDITIONS)  # the files of the entries that other files name
_Entry = tuple[str, str]
# The file that each kind of entry belongs into.
_FILES = {"question": FORM, "check": SAFETY, "sign": SAFETY, "region": SAFETY, "rule": RULES, "limit": LIMITS}
_FILES["condition"] = CONDITIONS


def order_by_cause(folder: Path, faults: Iterable[Diagnostic]) -> tuple[Diagnostic, ...]:
    """Each fault once: files that all languages share first, then the fallback language, then the others.

    Of several faults about one entry the first is kept, and the places of the others are listed under it.
    """
    ordered = sorted(dict.fromkeys(faults), key=lambda fault: _rank(folder, fault))
    wrong = {fault.about[1]: fault.about for fault in ordered if fault.about is not None}
    groups: dict[object, list[Diagnostic]] = {}
    for number, fault in enumerate(ordered):
        # A name that is misspelt in the fallback language is what another language is wrongly said to be near to.
        meant = wrong.get(fault.nearest or "") if _rank(folder, fault)[0] == _OTHER_LANGUAGES else None
        about = meant or fault.about
        groups.setdefault(about or number, []).append(fault)
    return tuple(_with_places(group[0], group[1:], folder) for group in groups.values())


def _rank(folder: Path, fault: Diagnostic) -> tuple[int, int, str, int, int]:
    inside = fault.path.relative_to(folder).parts if fault.path.is_relative_to(folder) else (fault.path.name,)
    if inside == (HAZARDS,):  # it only names what the other files have
        return 5, 0, "", fault.line, fault.column
    last = {"exercises": 1, "stand_in": 2, FALLBACK: 3}.get(inside[0], _OTHER_LANGUAGES) if len(inside) > 1 else 0
    named = _FIRST.index(inside[0]) if inside and inside[0] in _FIRST else len(_FIRST)  # none: the folder itself
    return last, named, str(fault.path), fault.line, fault.column


def _with_places(first: Diagnostic, others: list[Diagnostic], folder: Path) -> Diagnostic:
    if not others:
        return first
    told = (place for other in others if (place := _place(other, folder)) != _place(first, folder))
    places = dict.fromkeys((*first.also, *told))
    shown = [*places][:_MOST_PLACES]
    more = len(places) - len(shown)
    return replace(first, also=(*shown, *([f"and {more} more"] if more else [])))


def _place(fault: Diagnostic, folder: Path) -> str:
    path = fault.path.relative_to(folder) if fault.path.is_relative_to(folder) else fault.path
    return f"{path}:{fault.line}" if fault.line else str(path)


def misspelt_entries(
    folder: Path, content: Content, faults: Iterable[Diagnostic], read: frozenset[tuple[str, str]]
) -> tuple[Diagnostic, ...]:
    """The faults, where entries that are misspelt at their own place are reported there and nowhere else.

    An entry that nothing uses, with a name almost like one that several files use and that does not exist, is the
    cause of what is wrong in those files. `read` are the kinds and names of the entries that the program reads.
    """
    found = list(faults)
    uses: dict[_Entry, set[tuple[Path, int]]] = {}
    for fault in found:
        if fault.about is not None:
            uses.setdefault(fault.about, set()).add((fault.path, fault.line))
    for (kind, name), (source, key) in _entries(folder, content).items():
        unknown = [other for of, other in uses if of == kind and other != name and (of, other) not in _known(content)]
        near = nearest_name(name, unknown)
        # One entry without a message and one name without an entry are one entry that was renamed here alone.
        meant = near or (unknown[0] if len(unknown) == 1 and _has_messages(kind) else None)
        if meant is None or name in _known_elsewhere(content, kind) or (kind, name) in read:
            continue
        places = len(uses[kind, meant]) + ((kind, meant) in read)
        if places < 2:  # as likely a misspelt use
            continue
        what = f"the {kind} is called {name} here and {meant} everywhere else"
        cause = source.at_value(key, what, f"the name {meant}", f"write {meant}", meant)
        followers = [fault for fault in found if fault.about in ((kind, name), (kind, meant))]
        found = [fault for fault in found if fault not in followers]
        # Where the test was changed with the name, the test is the cause.
        cause = next((fault for fault in followers if fault.what.startswith(NO_LAST_RULE)), cause)
        found.append(_with_places(replace(cause, about=(kind, meant)), followers, folder))
    return tuple(found)


def _has_messages(kind: str) -> bool:
    return kind not in ("limit", "fault")


def _known_elsewhere(content: Content, kind: str) -> frozenset[str]:
    """The names of this kind that have a message, or that other files use: not misspelt at their own place alone."""
    form, safety, rules = content.messages.form, content.messages.safety, content.messages.rules
    tables: Mapping[str, Iterable[str]] = {
        "question": form.question,
        "fault": form.fault,
        "check": safety.check,
        "sign": safety.sign,
        "region": safety.region,
        "rule": rules.rule,
        "condition": content.messages.conditions.condition,
    }
    positions = [one for exercise in content.exercises.values() for one in exercise.positions]
    spoken = [one for exercise in content.messages.exercises.values() for one in exercise.position.values()]
    used: Mapping[str, Iterable[str]] = {
        "question": [name for one in positions for name in one.questions],
        "check": [name for one in positions for name in one.checks],
        "fault": [cue.fault for one in spoken for cue in one.cues],
    }
    return frozenset((*tables.get(kind, ()), *used.get(kind, ())))


def without_echoes(faults: Iterable[Diagnostic]) -> tuple[Diagnostic, ...]:
    """The faults, without those of entries that nothing uses only because their name is misspelt where it is used."""
    found = list(faults)
    meant = {(one.about[0], one.nearest) for one in found if one.about and one.what.startswith("there is no ")}
    other_anchor = any(one.about is not None and one.about[0] == "anchor" for one in found)
    return tuple(
        one
        for one in found
        if not one.what.startswith("no position ")
        or not (one.about in meant or (other_anchor and one.what.startswith("no position makes")))
    )


def missing_entries(folder: Path, faults: Iterable[Diagnostic]) -> tuple[Diagnostic, ...]:
    """The faults, where an entry that several files use and that does not exist is reported where it belongs."""
    found = list(faults)
    for about in dict.fromkeys(fault.about for fault in found if fault.about is not None):
        kind, name = about
        followers = [fault for fault in found if fault.about == about and fault.what == f"there is no {kind} {name}"]
        if kind not in _FILES or len({fault.path for fault in followers}) < 2:
            continue
        second = next((fault for fault in found if fault.what.startswith(f"a second {kind} is called")), None)
        if second is not None:
            fix = f"write {name}, if that is meant, or give one of them another name"
            found = [fault for fault in found if fault not in (*followers, second)]
            found.append(_with_places(replace(second, fix=fix), followers, folder))
            continue
        what = f"the {kind} {name} is not here, and other files use it"
        fix = f'add a [[{kind}]] with name = "{name}", or remove {name} from the other files'
        cause = SourceFile(folder / _FILES[kind]).at_key((kind,), what, f"each {kind} that is used", fix)
        if kind == "question":
            fix = f'add a [[question]] with name = "{name}", or remove it elsewhere'
            cause = replace(cause, fix=fix)
            # The fault that it reveals is not known either.
            followers += [fault for fault in found if fault.about is not None and fault.about[0] == "fault"]
        found = [fault for fault in found if fault not in followers]
        found.append(_with_places(replace(cause, about=about), followers, folder))
    return tuple(found)


def taken_out(faults: Iterable[Diagnostic]) -> tuple[Diagnostic, ...]:
    """The faults; a name that the program's own content has is gone, and no other name is meant by it."""
    shipped = shipped_content()
    names = _known(shipped) if shipped is not None else set[_Entry]()
    found = tuple(faults)
    # An entry without a message may be the same one under another name.
    renamed = {fault.about[0] for fault in found if fault.about is not None and "has no message" in fault.what}
    return tuple(
        _was_taken_out(fault) if fault.about in names and fault.about[0] not in renamed else fault for fault in found
    )


def _was_taken_out(fault: Diagnostic) -> Diagnostic:
    assert fault.about is not None
    kind, name = fault.about
    if fault.what != f"there is no {kind} {name}":
        return fault
    what = f"the {kind} {name} was taken out, and is still named here"
    expected = f"each {kind} that is named, in {_FILES.get(kind, FORM)}"
    fix = f"bring the {kind} {name} back from the content that came with the program, or take its name out here too"
    return replace(fault, what=what, expected=expected, fix=fix, nearest=None)


def moved_position(folder: Path, faults: Iterable[Diagnostic]) -> tuple[Diagnostic, ...]:
    """The faults, where a position has other degrees than its messages: one fault, in the exercise."""
    found = list(faults)
    for kind in dict.fromkeys(f.about[0] for f in found if f.about is not None and f.about[0].endswith(" position")):
        of_kind = [fault for fault in found if fault.about is not None and fault.about[0] == kind]
        without = {fault.about[1] for fault in of_kind if fault.about and "has no message" in fault.what}
        unknown = {fault.about[1] for fault in of_kind if fault.about and "has no message" not in fault.what}
        in_languages = len([*folder.glob(f"??/{kind.removesuffix(' position')}.toml")])
        if len(without) != 1 or len(unknown) != 1 or len({fault.path for fault in of_kind}) < in_languages:
            continue
        (here,), (there,) = without, unknown
        path = folder / EXERCISES / f"{kind.removesuffix(' position')}.toml"
        what = f"the position is called {here} here and {there} in the messages"
        fix = f"write {there}, or rename [position.{there}] to [position.{here}] in each language"
        positions = read_model(path, Exercise).positions
        index = next(index for index, one in enumerate(positions) if one.name == here)
        key: KeyPath = ("positions", index, positions[index].key_of_name)
        cause = SourceFile(path).at_value(key, what, "the same name in each file", fix)
        stand_in = [fault for fault in found if f"has no {named_position(there)}" in fault.what]
        found = [fault for fault in found if fault not in of_kind and fault not in stand_in]
        found.append(_with_places(cause, [*of_kind, *stand_in], folder))
    return tuple(found)


def wrong_headings(folder: Path, faults: Iterable[Diagnostic]) -> tuple[Diagnostic, ...]:
    """The faults; where the heading of a position is missing or names none of the exercise, one of them alone."""
    found = list(faults)
    for path in dict.fromkeys(fault.path for fault in found if fault.path.parent.parent == folder):
        here = [fault for fault in found if fault.path == path]
        names = _position_names(folder / EXERCISES / path.name)
        loose = [fault for fault in here if _LOOSE.sub("", fault.what) in PositionMessages.model_fields]
        if names and len(loose) >= _SEVERAL:
            first = min((fault for fault in here if fault in loose or "written twice" in fault.what), key=_line)
            what, heading = "the heading of the position is missing above this", f"[position.{names[0]}]"
            fix = f"write {heading} in the line above"
            cause = replace(first, column=1, what=what, expected=heading, fix=fix, nearest=None, about=None)
            found = [cause if fault is first else fault for fault in found if fault is first or fault not in loose]
        lacking: dict[str, list[Diagnostic]] = {}
        for fault in here:
            if (missing := _LACKING.fullmatch(fault.what)) is not None and names and missing[1] not in names:
                lacking.setdefault(missing[1], []).append(fault)
        for name, group in lacking.items():
            what, expected = f"the exercise has no position {name}", f"one of {', '.join(names)}"
            fix = "write the position that is meant, or take the table out"
            cause = replace(group[0], what=what, expected=expected, fix=fix, nearest=None, about=None)
            found = [cause if fault is group[0] else fault for fault in found if fault not in group[1:]]
    return tuple(found)


_SEVERAL = 3  # our own choice: one or two keys out of place are told as such
_LOOSE = re.compile(r" is not a key of this file$")
_LACKING = re.compile(r"\w+ is missing in position\.([^.\s]+)")


def _line(fault: Diagnostic) -> int:
    return fault.line


def _position_names(path: Path) -> tuple[str, ...]:
    """The positions of an exercise; none where there is no such file or it cannot be read."""
    try:
        return read_model(path, Exercise).position_names if is_there(path) else ()
    except FileFault:
        return ()


def _known(content: Content) -> set[_Entry]:
    return {
        *(("question", name) for name in _questions(content)),
        *(("fault", question.fault) for question in content.questions.values()),
        *(("check", name) for name in content.checks),
        *(("sign", sign.name) for sign in content.signs),
        *(("region", name) for name in content.regions),
        *(("rule", rule.name) for rule in content.rules),
        *(("limit", limit.name) for limit in content.limits),
        *(("condition", name) for name in content.conditions),
    }


def _questions(content: Content) -> list[str]:
    return [*content.questions]


def _entries(folder: Path, content: Content) -> Mapping[_Entry, tuple[SourceFile, KeyPath]]:
    """Where the name of each entry is written."""
    form, safety, rules, limits, conditions = (
        SourceFile(folder / name) for name in (FORM, SAFETY, RULES, LIMITS, CONDITIONS)
    )
    entries: dict[_Entry, tuple[SourceFile, KeyPath]] = {}
    for index, question in enumerate(content.questions.values()):
        entries["question", question.name] = form, ("question", index, "name")
        entries.setdefault(("fault", question.fault), (form, ("question", index, "fault")))
    for kind, source, names in (
        ("check", safety, list(content.checks)),
        ("sign", safety, [sign.name for sign in content.signs]),
        ("region", safety, list(content.regions)),
        ("rule", rules, [rule.name for rule in content.rules]),
        ("limit", limits, [limit.name for limit in content.limits]),
        ("condition", conditions, list(content.conditions)),
    ):
        for index, name in enumerate(names):
            entries.setdefault((kind, name), (source, (kind, index, "name")))
    return entries
