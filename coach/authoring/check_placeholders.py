"""The check of the placeholders of messages: known names, paired braces, and a form for every count."""

from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from coach.content_files.language_data import load_language
from coach.content_files.message_files import FALLBACK
from coach.content_files.overlays import leaves_of
from coach.model.content import Content
from coach.model.message_format import placeholders, plural_forms, stray_brace
from coach.toml.diagnostic import Diagnostic, FileFault
from coach.toml.expected import KeyPath
from coach.toml.nearest_name import nearest_name
from coach.toml.reader import read_text
from coach.toml.source_file import SourceFile
from coach.toml.syntax_faults import parse_tolerantly

# The placeholders that any message about a setup may have, in English too (see session/phrases.py).
_SETUP = frozenset(
    (
        *("side", "other_side", "distance_cm", "feet", "anchor_height_cm", "landmark", "turn", "band", "strands"),
        *("gap_cm", "underfoot_cm"),
    )
)
_SETUP_LINES = ("place", "arm")


def check_placeholders(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """Each {name} is also in the English message, and each count has as many forms as the language."""
    language, forms = content.messages.language, load_language(content.messages.language).forms
    in_english = {path.name: messages_in_file(path) for path in (folder / FALLBACK).glob("*.toml")}
    uses_in_english = Counter(
        name for lines in in_english.values() for text in lines.values() for name in placeholders(text)
    )
    for path in sorted((folder / language).glob("*.toml")):
        english = in_english.get(path.name, {})
        for name, text in messages_in_file(path).items():
            source, key = SourceFile(path), tuple(name.split("."))
            known = _SETUP if _is_setup(key) else placeholders(english.get(name, text))
            unused = [] if _is_setup(key) else sorted(known - placeholders(text))
            for wrong in sorted(placeholders(text) - known):
                names = ", ".join(f"{{{each}}}" for each in sorted(known))
                expected, fix = names or "a message without placeholders", "write one of them, or leave it out"
                what = f"{{{wrong}}} is not filled in here"
                yield source.at_value(path_of(key), what, expected, fix, nearest_name(wrong, sorted(known)))
                meant = nearest_name(wrong, unused)
                if meant is not None and uses_in_english[meant] == 1:
                    yield _one_is_wrong(folder / FALLBACK / path.name, key, meant, wrong, path)
            if stray_brace(text):
                what, expected = "this brace has no partner", "{name}, with a brace before and after it"
                yield source.at_value(path_of(key), what, expected, "write both braces, or take this one out")
            for count, found in plural_forms(text):
                if len(found) != len(forms):
                    what = f"{{{count}|...}} has {len(found)} of {len(forms)} forms"
                    yield source.at_value(
                        path_of(key), what, f"a form for each of: {', '.join(forms)}", "write all of them"
                    )


def _is_setup(key: tuple[str, ...]) -> bool:
    return key[0] == "position" and bool(set(key) & set(_SETUP_LINES))


def _one_is_wrong(english: Path, key: tuple[str, ...], written: str, other: str, path: Path) -> Diagnostic:
    """A fault of the English message, which alone says what the program fills in.

    A name that is misspelt there makes the right name a fault in the other language. If no other English message has
    the name, it may be misspelt, and both messages are reported.
    """
    translated = f"{path.parent.name}/{path.name}"
    what = f"{{{written}}} here and {{{other}}} in {translated}: one of them is not filled in"
    return SourceFile(english).at_value(path_of(key), what, "the same name in both", "correct the wrong one", other)


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
