"""The check of the placeholders of messages: names that are filled in, paired braces, and a form for every count."""

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from pathlib import Path

from msgspec.structs import replace

from coach.authoring.filled_therapist_values import FILLED_THERAPIST_VALUES
from coach.authoring.filled_values import FILLED_VALUES
from coach.content_files.content_folder import (
    CLIENT,
    COACH,
    CONDITIONS,
    FORM,
    LETTER,
    RULES,
    SAFETY,
    THERAPIST,
    ContentFiles,
)
from coach.content_files.language_data import load_language
from coach.content_files.names_of_copies import without_copies
from coach.content_files.overlays import leaves_of
from coach.model.content import Content
from coach.model.exercise import AnchorKind
from coach.model.message_format import placeholders, plural_forms, stray_brace
from coach.toml.diagnostic import Diagnostic, FileFault
from coach.toml.expected import KeyPath
from coach.toml.fast_reader import read_fast
from coach.toml.nearest_name import nearest_name
from coach.toml.reader import read_text
from coach.toml.source_file import SourceFile
from coach.toml.syntax_faults import parse_tolerantly

# What the messages of an entry are filled with, by the file and the parts of the key that tell (session/phrases.py,
# progression/decision_messages.py). A message that is not listed is shown as it is.
SETUP_VALUES = (
    *(
        "side",
        "other_side",
        "distance_cm",
        "feet",
        "anchor_height_cm",
        "landmark",
        "turn",
        "band",
        "strands",
        "lengths",
    ),
    *("gap_cm", "underfoot_cm"),
)
ONLY_OF_ANCHOR: Mapping[AnchorKind, Sequence[str]] = {
    "fixed": ("distance_cm", "feet", "anchor_height_cm", "turn"),
    "foot": ("underfoot_cm",),
}
_LOAD = ("load", "repetitions", "grade", "strands", "distance_cm", "mean", "peak", "unit", "spread")
_PAGE = (
    "profile",
    "goal",
    "side",
    "prescribed",
    "operations",
    "no_session",
    "first",
    "last",
    "weeks",
    "sessions",
    "day",
    "initials",
    "clinic",
    "phone",
)
_OF_ENTRIES: tuple[tuple[str, frozenset[str], tuple[str, ...]], ...] = (
    ("", frozenset({"position", "place"}), SETUP_VALUES),
    ("", frozenset({"position", "arm"}), SETUP_VALUES),
    (FORM, frozenset({"question"}), ("hand_breadth_cm",)),
    (SAFETY, frozenset({"check", "mend"}), SETUP_VALUES),
    *((SAFETY, frozenset({cautions}), ("pain_max",)) for cautions in ("cautions_stop", "cautions")),
    (CONDITIONS, frozenset({"closed"}), ("name", "weeks")),
    (CONDITIONS, frozenset({"therapist"}), ("above", "days", "floor", "range")),
    (CONDITIONS, frozenset({"dated"}), ("by", "on", "what")),
    (CONDITIONS, frozenset({"judged"}), ("by", "level", "on")),
    (CONDITIONS, frozenset({"judged_long_ago"}), ("days",)),
    *((LETTER, frozenset({part}), _PAGE) for part in ("title", "opening", "closing", "signature")),
    (LETTER, frozenset({"beyond"}), ("error",)),
    (LETTER, frozenset({"within"}), ("error",)),
    (LETTER, frozenset({"kept"}), ("days", "weeks", "due", "sessions")),
    (LETTER, frozenset({"trained"}), ("exercise", "sets", "repetitions", "sessions")),
    (LETTER, frozenset({"witnessed"}), ("measured", "days")),
    (LETTER, frozenset({"tempo"}), ("measured", "kept")),
    (LETTER, frozenset({"what", "load"}), ("exercise", "position")),
    (LETTER, frozenset({"what"}), ("motion", "side", "position")),
    (LETTER, frozenset({"unit"}), ("value",)),
    (LETTER, frozenset({"on"}), ("value", "day")),
    (LETTER, frozenset({"written"}), ("file",)),
    (RULES, frozenset({"change", "spread"}), ("low", "high")),
    (RULES, frozenset({"change", "position"}), ("degrees",)),
    (RULES, frozenset({"change", "position_named"}), ("title",)),
    (RULES, frozenset({"change"}), _LOAD),
    (RULES, frozenset({"missing"}), ("goal", "top", "more")),
)

_MARKED = re.compile("[{}_]")  # found in each text with a placeholder, or with the name of one
_FILLED = {**FILLED_VALUES, **FILLED_THERAPIST_VALUES}


def check_placeholders(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """Each {name} is filled in by the program, and each count has as many forms as the language."""
    language, forms = content.messages.language, load_language(content.messages.language).forms
    folders = (files.folder, *([files.clinic] if files.clinic is not None else []))
    for path in (path for folder in folders for path in without_copies((folder / language).glob("*.toml"))):
        for at, text in texts_in_file(path):
            if text and not text.strip():
                yield SourceFile(path).at_value(at, "this text is blank", "words", "write it, or take the line out")
            if not _MARKED.search(text) or at[0] == "must_say":  # a placeholder that a text must have
                continue
            source, key = SourceFile(path), tuple(map(str, at))
            if not (path.name == RULES and key[0] == "rule"):  # check_rule_numbers
                known = _filled_in(path.name, key, content)
                yield from _unknown(source, at, text, known)
                yield from _without_braces(source, at, text, known)
            if stray_brace(text):
                what, expected = "this brace has no partner", "{name}, with a brace before and after it"
                yield source.at_value(at, what, expected, "write both braces, or take this one out")
            for count, found in plural_forms(text):
                if len(found) != len(forms):
                    what = f"{{{count}|...}} has {len(found)} of {len(forms)} forms"
                    yield source.at_value(at, what, f"a form for each of: {', '.join(forms)}", "write all of them")


def _without_braces(source: SourceFile, at: KeyPath, text: str, known: tuple[str, ...]) -> Iterator[Diagnostic]:
    for name in known:
        if "_" in name and name in text and re.search(rf"(?<![{{\w]){name}(?![}}|\w])", text):
            what = f"{name} stands here without its braces, so the client reads this word"
            yield source.at_value(at, what, f"{{{name}}}", f"write {{{name}}}")


def _unknown(source: SourceFile, at: KeyPath, text: str, known: tuple[str, ...]) -> Iterator[Diagnostic]:
    for wrong in sorted(placeholders(text) - set(known)):
        names = ", ".join(f"{{{each}}}" for each in sorted(known))
        expected, fix = names or "a message without placeholders", "write one of them, or leave it out"
        fix = fix if names else "leave it out: the program fills nothing in here"
        what = f"{{{wrong}}} is not filled in here"
        if wrong in ONLY_OF_ANCHOR["foot"]:
            fix += ', or write anchor = "foot" in the exercise if the client stands on the band'
        found = source.at_value(at, what, expected, fix, nearest_name(wrong, sorted(known)))
        of_anchor = any(wrong in names for names in ONLY_OF_ANCHOR.values())
        yield replace(found, about=("anchor", source.path.stem)) if of_anchor else found


def _filled_in(file: str, key: tuple[str, ...], content: Content) -> tuple[str, ...]:
    """The names of the values that the program fills into a message."""
    if file in (CLIENT, THERAPIST, COACH):
        numbered = ".".join(str(int(part) + 1) if part.isdigit() else part for part in key)
        return tuple(_FILLED.get(f"{file} {numbered}", "").split())
    kind = file if file in (FORM, SAFETY, RULES, CONDITIONS, LETTER) else ""  # "" is an exercise
    known = next((names for of, parts, names in _OF_ENTRIES if of == kind and parts <= set(key)), ())
    return tuple(name for name in known if name not in _without(file, key, content))


def _without(file: str, key: tuple[str, ...], content: Content) -> Sequence[str]:
    """The values that have no meaning in the setup of a position, as it is anchored otherwise."""
    exercise = content.exercises.get(file.removesuffix(".toml"))
    position = next((one for one in exercise.positions if one.name in key[1:2]), None) if exercise else None
    return ONLY_OF_ANCHOR["fixed" if position.anchor == "foot" else "foot"] if position is not None else ()


def texts_in_file(path: Path) -> tuple[tuple[KeyPath, str], ...]:
    """Every text of a file with its path; none if the file cannot be read."""
    try:
        return _texts_of(read_text(path))
    except FileFault:
        return ()


def texts_by_place(path: Path) -> Mapping[tuple[str, ...], tuple[KeyPath, tuple[str, ...]]]:
    """Every text of a file by its key, with its path; the lines of a list are texts of one place."""
    try:
        return _places_of(read_text(path))
    except FileFault:
        return {}


@lru_cache(maxsize=128)
def _places_of(text: str) -> Mapping[tuple[str, ...], tuple[KeyPath, tuple[str, ...]]]:
    places: dict[tuple[str, ...], tuple[KeyPath, tuple[str, ...]]] = {}
    for at, one in _texts_of(text):
        place = at[:-1] if isinstance(at[-1], int) else at
        key = tuple(map(str, place))
        places[key] = place, (*places.get(key, (place, ()))[1], one)
    return places


@lru_cache(maxsize=128)  # the check looks through each message file for its placeholders and again for its wording
def _texts_of(text: str) -> tuple[tuple[KeyPath, str], ...]:
    data = read_fast(text)
    if data is None:
        data, faults, _ = parse_tolerantly(text, Path())
        if faults:
            return ()
    return tuple(_texts_in(data, ()))


def _texts_in(value: object, at: KeyPath) -> Iterator[tuple[KeyPath, str]]:
    if isinstance(value, str):
        yield at, value
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for part, inner in items:
        yield from _texts_in(inner, (*at, part))


def messages_in_file(path: Path) -> dict[str, str]:
    """Every message of a file by its dotted key; empty if the file cannot be read."""
    try:
        data, faults, _ = parse_tolerantly(read_text(path), path)
    except FileFault:
        return {}
    return {} if faults else {leaf.name: str(leaf.value) for leaf in leaves_of(_frozen(data))}


def _frozen(value: object) -> object:
    if isinstance(value, dict):
        return {key: _frozen(inner) for key, inner in value.items()}
    return tuple(map(_frozen, value)) if isinstance(value, list) else value


def path_of(key: tuple[str, ...]) -> KeyPath:
    """The path of a message in its file, where items count from 0. The degrees of a position are a name."""
    names = 2 if key[0] == "position" else 1
    return tuple(int(part) - 1 if part.isdigit() and at >= names else part for at, part in enumerate(key))
