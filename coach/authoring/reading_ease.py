"""How easy the client's sentences are to read in each language: a report for the author, and no fault.

Flesch's reading ease, and Amstad's for German, from 0 (very hard) to 100 (very easy): Flesch R. J Appl Psychol
1948;32:221-233; Amstad T. Wie verständlich sind unsere Zeitungen? Diss. Universität Zürich 1978. The formulas
only see the length of words and of sentences, so an easy sentence can still be wrong.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path

from msgspec import Struct
from msgspec.structs import astuple

from coach.authoring.check_placeholders import messages_in_file, path_of
from coach.content_files.content_folder import CLIENT, FORM, RULES, SAFETY, exercise_files, languages
from coach.model.message_format import fill, placeholders, plural_forms
from coach.toml.diagnostic import printable, shorten
from coach.toml.source_file import SourceFile

_HARDEST = 3  # sentences that are named in the report
# The formulas were made for passages: in a sentence of a few words, one long word weighs too much. Our number.
_FEWEST_WORDS = 8
# The keys of a rule whose sentences the client reads; the others are for the therapist.
_CLIENT_KEYS = frozenset(("client", "change", "missing"))
_SENTENCE_ENDS = (".", "?", "!")

_WORD = re.compile(r"[^\W_]+(?:['’.,][^\W_]+)*")
# Each full unit of speech that a mark sets off, colon and semicolon among them (Flesch 1948).
_SENTENCE = re.compile(r"[.?!:;]+(?=\s|$)")

# Syllables are counted as groups of vowels that are heard. A hyphenation dictionary has fewer parts than a word has
# syllables (a-re-a), and the German one takes most of a second to load.
_GERMAN_QU = re.compile(r"qu")
_GERMAN_VOWELS = re.compile(r"(?<=in)i|aa|ai|au|äu|ee|ei|eu|ie|oo|[aeiouyäöüéèà]")
_ENGLISH_VOWELS = re.compile(r"[aeiouy]+")
# Letters that are written and not heard: at the end, or before another part of the word.
_MUTE = re.compile(
    r"(?<=[^aeiouy])e$(?<![^aeiouy]le)|(?<![sxzcg])(?<![cs]h)es$(?<![aeiouy]es)(?<![^aeiouy]les)|(?<![tdaeiouy])ed$"
    r"|(?<=[aeiou][^aeiou])e(?=ty$|ly$|ful|ment|thing|arm|one$|times$|ways$)"
)
# Vowels next to each other that are heard as two; not those of -tion, -cial and -cious.
_TWO_VOWELS = re.compile(r"(?<![cts])i(?=a|o|u)|(?<!g)e(?=a$|o)|(?<![gq])u(?=al|ou)|(?<=[aeiouy])i(?=ng)")


@cache
def english_syllables(word: str) -> int:
    """The number of syllables of an English word as it is spoken; at least one."""
    written = word.lower()
    heard = _MUTE.sub("", written) if len(_ENGLISH_VOWELS.findall(written)) > 1 else written
    return max(1, len(_ENGLISH_VOWELS.findall(heard)) + len(_TWO_VOWELS.findall(heard)))


@cache
def german_syllables(word: str) -> int:
    """The number of syllables of a German word; at least one."""
    return max(1, len(_GERMAN_VOWELS.findall(_GERMAN_QU.sub("k", word.lower()))))


class TextCounts(Struct, frozen=True):
    """How many words, sentences and syllables a text has."""

    words: int
    sentences: int
    syllables: int


def in_all(counts: Iterable[TextCounts]) -> TextCounts:
    """What several texts have together."""
    words, sentences, syllables = zip((0, 0, 0), *(astuple(one) for one in counts), strict=True)
    return TextCounts(sum(words), sum(sentences), sum(syllables))


class Formula(Struct, frozen=True):
    """`base` less `per_word` for each word of an average sentence and `per_syllable` for each syllable of a word."""

    source: str
    base: float
    per_word: float
    per_syllable: float
    syllables: Callable[[str], int]

    def ease(self, counts: TextCounts) -> float:
        """The reading ease of a text with at least one word and one sentence."""
        words, syllables = counts.words / counts.sentences, counts.syllables / counts.words
        return self.base - self.per_word * words - self.per_syllable * syllables

    def count(self, text: str) -> TextCounts:
        """What is in a text. A placeholder and a number each count as one word of one syllable."""
        filled = _filled(text)
        words = _WORD.findall(filled)
        syllables = sum(1 if word[0].isdigit() else self.syllables(word) for word in words)
        return TextCounts(len(words), max(1, len(_SENTENCE.findall(filled))), syllables)


FORMULAS: Mapping[str, Formula] = {
    "en": Formula("Flesch 1948", 206.835, 1.015, 84.6, english_syllables),
    "de": Formula("Amstad 1978", 180.0, 1.0, 58.5, german_syllables),
}
# The names of Flesch's table, from memory; each holds from its number up.
_LEVELS = (
    (90, "very easy"),
    (80, "easy"),
    (70, "fairly easy"),
    (60, "standard"),
    (50, "fairly difficult"),
    (30, "difficult"),
)


def level(ease: float) -> str:
    """The name of a reading ease."""
    return next((name for least, name in _LEVELS if ease >= least), "very difficult")


def reading_ease_report(folder: Path) -> Iterator[str]:
    """The lines of the report: for each language with a formula, its reading ease and its hardest sentences."""
    for language in languages(folder):
        formula = FORMULAS.get(language)
        if formula is not None:
            yield from _report_language(folder, language, formula)


def _report_language(folder: Path, language: str, formula: Formula) -> Iterator[str]:
    each = [(formula.count(sentence.text), sentence) for sentence in _client_sentences(folder, language)]
    counts = in_all(found for found, _ in each)
    if not counts.words:
        return
    ease = formula.ease(counts)
    yield (
        f"{printable(str(folder / language))}: reading ease of the client's words {ease:.0f}, {level(ease)} "
        f"({formula.source}; {counts.words} words, {counts.sentences} sentences)"
    )
    eases = [(formula.ease(found), sentence) for found, sentence in each if found.words >= _FEWEST_WORDS]
    for ease, sentence in sorted(eases, key=lambda one: one[0])[:_HARDEST]:
        at = SourceFile(sentence.file).at_value(path_of(sentence.key), shorten(sentence.text, 60))
        yield f"  least readable: {printable(str(at.path))}:{at.line}:{at.column}: {ease:.0f}: {at.what}"


class _Sentence(Struct, frozen=True):
    """A message that ends as a sentence does, with its file and key."""

    file: Path
    key: tuple[str, ...]
    text: str


def _client_sentences(folder: Path, language: str) -> Iterator[_Sentence]:
    """The sentences that a client reads; titles, labels, keys and single words are left out."""
    names = [*(path.name for path in exercise_files(folder)), FORM, SAFETY, RULES, CLIENT]
    for path in (folder / language / name for name in names):
        for name, text in messages_in_file(path).items():
            key = tuple(name.split("."))
            if text.endswith(_SENTENCE_ENDS) and (path.name != RULES or _CLIENT_KEYS & set(key)):
                yield _Sentence(path, key, text)


def _filled(text: str) -> str:
    """The message with a number in each placeholder, and the last form of each word that depends on a count."""
    for name, forms in plural_forms(text):
        text = text.replace(f"{{{name}|{'|'.join(forms)}}}", forms[-1])
    return fill(text, dict.fromkeys(placeholders(text), 5))
