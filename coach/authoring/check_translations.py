"""Notes on the words of a language beside those of the language that stands in for it: what was forgotten there."""

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from functools import partial
from pathlib import Path

from coach.authoring.check_placeholders import texts_in_file
from coach.content_files.content_folder import CLIENT, CONDITIONS, FORM, RULES, SAFETY, exercise_files, languages
from coach.content_files.language_data import FALLBACK
from coach.model.message_format import placeholders
from coach.toml.diagnostic import Diagnostic, whole_file
from coach.toml.expected import KeyPath
from coach.toml.source_file import SourceFile

_WORD = re.compile(r"[^\W\d_]{2,}")
_BRACES = re.compile(r"\{[^}]*\}")
_FEWEST_WORDS = 3  # below it two languages may well say the same
# What a client reads as sentences; titles, names and answers end without a full stop.
_SENTENCES = frozenset(
    ("purpose", "why_here", "place", "arm", "reach", "cautions_stop", "cautions", "cautions_at_first", "warm_up")
)
_SENTENCES |= frozenset(
    ("teach", "try_it", "how_to_tell", "mend", "ask", "urgency", "text", "first_cue", "variants", "praise")
)
_ENDS = (".", "!", "?", ".)", "…", "”", "“", '"')

_Texts = Mapping[KeyPath, str]


def translation_notes(folder: Path) -> Iterator[Diagnostic]:
    """Sentences that break off, text left in another language, and values that a translation does not tell."""
    stems = sorted(path.name for path in exercise_files(folder))
    files = [
        name for name in (*stems, FORM, SAFETY, RULES, CLIENT, CONDITIONS) if (folder / FALLBACK / name).is_file()
    ]
    texts: dict[tuple[str, str], _Texts] = {}
    for language in languages(folder):
        for name in files:
            path = folder / language / name
            texts[language, name] = _readable(path) if path.is_file() else {}
    for (language, name), of_file in texts.items():
        source = SourceFile(folder / language / name)
        if name in (*stems, FORM, SAFETY):
            yield from _broken_off(source, of_file)
        if language != FALLBACK:
            yield from _not_translated(source, of_file, texts[FALLBACK, name])
            yield from _values_lost(source, of_file, texts[FALLBACK, name], FALLBACK)
            in_fallback = SourceFile(folder / FALLBACK / name)
            yield from _values_lost(in_fallback, texts[FALLBACK, name], of_file, language)
    yield from _in_another_language(folder, texts)


def _readable(path: Path) -> _Texts:
    return {tuple(at): text for at, text in texts_in_file(path) if at[-1] != "fault"}


def _broken_off(source: SourceFile, texts: _Texts) -> Iterator[Diagnostic]:
    for at, text in texts.items():
        if any(part in _SENTENCES for part in at) and not text.rstrip().endswith(_ENDS):
            what = "this sentence has no full stop at its end"
            yield source.at_value(at, what, "a whole sentence", "see whether it is whole")


def _not_translated(source: SourceFile, texts: _Texts, fallback: _Texts) -> Iterator[Diagnostic]:
    """Texts that are word for word those of the fallback language, in a file that is mostly translated."""
    long = {at: text for at, text in texts.items() if len(_words(text)) >= _FEWEST_WORDS}
    same = [at for at, text in long.items() if fallback.get(at) == text]
    for at in same if len(same) * 2 < len(long) else ():
        yield source.at_value(at, f"this is word for word as in {FALLBACK}", "a translation", "translate it")


def _values_lost(source: SourceFile, texts: _Texts, others: _Texts, language: str) -> Iterator[Diagnostic]:
    for at, text in texts.items():
        for name in sorted(placeholders(others.get(at, "")) - placeholders(text)):
            what = f"{{{name}}} is in this text in {language}, and not here"
            yield source.at_value(at, what, "the same values in each language", "add it where it belongs, if it does")


def _words(text: str) -> list[str]:
    return [word.lower() for word in _WORD.findall(_BRACES.sub(" ", text))]


def _in_another_language(folder: Path, texts: Mapping[tuple[str, str], _Texts]) -> Iterator[Diagnostic]:
    """Files whose words are rather those of another language's other files: two were exchanged."""
    used: dict[str, Counter[str]] = {}
    words: dict[tuple[str, str], set[str]] = {}
    for (language, name), of_file in texts.items():
        words[language, name] = {word for text in of_file.values() for word in _words(text)}
        used.setdefault(language, Counter()).update(words[language, name])
    for (language, name), own in words.items():
        shares = {other: _share(own, partial(_elsewhere, used[other], words[other, name])) for other in used}
        nearest = max(shares, key=lambda other: shares[other], default=language)
        if own and shares[nearest] > 2 * shares[language]:
            what = f"this reads like the language of the folder {nearest}"
            yield whole_file(
                folder / language / name, what, f"the words in {language}", "see whether two files were exchanged"
            )


def _elsewhere(used: Counter[str], in_this_file: set[str], word: str) -> bool:
    return used[word] > (word in in_this_file)


def _share(words: set[str], known: "partial[bool]") -> float:
    return sum(known(word) for word in words) / max(len(words), 1)
