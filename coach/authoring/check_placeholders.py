"""Whether a line of a language names what the program fills in, in whole braces, and has a word for every count."""

from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from coach.content_files.language_data import language_named
from coach.content_files.message_files import FALLBACK
from coach.content_files.overlays import lines_of
from coach.model.content import Content
from coach.model.message_format import counted, places, stray_brace
from coach.toml.diagnostic import Diagnostic, FileFault
from coach.toml.expected import KeyPath
from coach.toml.reader import read_text
from coach.toml.source_file import Source
from coach.toml.syntax_faults import parsed
from coach.toml.value_faults import nearest

# What every line about a setup may name, in English too (see session/wording.py).
_SETUP = frozenset(
    ("side", "other_side", "distance_cm", "feet", "anchor_height_cm", "landmark", "turn", "band", "strands")
)
_SETUP_LINES = ("place", "arm")


def places_fit(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """Each {name} is one that its line in English has, and each count has as many forms as the language."""
    language, forms = content.words.language, language_named(content.words.language).forms
    in_english = {path.name: file_lines(path) for path in (folder / FALLBACK).glob("*.toml")}
    said_in_english = Counter(
        name for lines in in_english.values() for text in lines.values() for name in places(text)
    )
    for path in sorted((folder / language).glob("*.toml")):
        english = in_english.get(path.name, {})
        for name, text in file_lines(path).items():
            source, key = Source(path), tuple(name.split("."))
            given = _SETUP if _is_setup(key) else places(english.get(name, text))
            unsaid = [] if _is_setup(key) else sorted(given - places(text))
            for wrong in sorted(places(text) - given):
                known = ", ".join(f"{{{each}}}" for each in sorted(given))
                expected, mend = known or "a line without places", "write one of them, or leave it out"
                what = f"{{{wrong}}} is not filled here"
                yield source.at_value(path_of(key), what, expected, mend, nearest(wrong, sorted(given)))
                meant = nearest(wrong, unsaid)
                if meant is not None and said_in_english[meant] == 1:
                    yield _one_is_wrong(folder / FALLBACK / path.name, key, meant, wrong, path)
            if stray_brace(text):
                what, expected = "a brace stands alone here", "{name}, with a brace before and after it"
                yield source.at_value(path_of(key), what, expected, "write both braces, or take this one out")
            for count, said in counted(text):
                if len(said) != len(forms):
                    what = f"{{{count}|...}} has {len(said)} of {len(forms)} words"
                    yield source.at_value(
                        path_of(key), what, f"one word each for: {', '.join(forms)}", "write them all"
                    )


def _is_setup(key: tuple[str, ...]) -> bool:
    return key[0] == "position" and bool(set(key) & set(_SETUP_LINES))


def _one_is_wrong(english: Path, key: tuple[str, ...], written: str, other: str, path: Path) -> Diagnostic:
    """Only the line in English says what the program fills, so a name misspelt there makes the right one a fault in
    the other language. A name that no other line in English has may be such a one: both lines are told."""
    what = f"{{{written}}} stands here, and {{{other}}} in {path.parent.name}/{path.name}: one of them is not filled"
    return Source(english).at_value(path_of(key), what, "the same name in both", "mend the one that is wrong", other)


def file_lines(path: Path) -> dict[str, str]:
    """Every line of a file of words by its name; nothing where the file cannot be read."""
    try:
        data, faults, _ = parsed(read_text(path), path)
    except FileFault:
        return {}
    return {} if faults else {line.name: str(line.text) for line in lines_of(_frozen(data))}


def _frozen(value: object) -> object:
    if isinstance(value, dict):
        return {key: _frozen(inner) for key, inner in value.items()}
    return tuple(map(_frozen, value)) if isinstance(value, list) else value


def path_of(key: tuple[str, ...]) -> KeyPath:
    """The place of a line in its file: numbers of a list count from 0 there. Positions are names."""
    names = 2 if key[0] == "position" else 1
    return tuple(int(part) - 1 if part.isdigit() and at >= names else part for at, part in enumerate(key))
