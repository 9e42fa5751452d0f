"""How easy a text is to read: Flesch's reading ease, and Amstad's for German, from 0 (very hard) to 100 (very easy).

Flesch R. J Appl Psychol 1948;32:221-233; Amstad T. Wie verständlich sind unsere Zeitungen? Diss. Universität Zürich
1978. They see the length of words and of sentences and nothing else: an easy line can still be wrong.
"""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from coach.authoring.syllables import english_syllables, german_syllables
from coach.model.message_format import counted, fill, places

_WORD = re.compile(r"[^\W_]+(?:['’.,][^\W_]+)*")
# Each full unit of speech that a mark sets off, colon and semicolon among them (Flesch 1948).
_SENTENCE = re.compile(r"[.?!:;]+(?=\s|$)")


@dataclass(frozen=True)
class Counted:
    """What there is in a text."""

    words: int
    sentences: int
    syllables: int


@dataclass(frozen=True)
class Formula:
    """`base` less `a_word` for each word of a sentence and `a_syllable` for each syllable of a word, on average."""

    source: str
    base: float
    a_word: float
    a_syllable: float
    syllables: Callable[[str], int]

    def ease(self, found: Counted) -> float:
        """The reading ease of a text with at least one word and one sentence."""
        words, syllables = found.words / found.sentences, found.syllables / found.words
        return self.base - self.a_word * words - self.a_syllable * syllables


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
    """A reading ease in words."""
    return next((name for least, name in _LEVELS if ease >= least), "very difficult")


def counted_in(texts: Iterable[str], formula: Formula) -> Counted:
    """What there is in some lines. A place that the program fills, and a figure, is one word of one syllable."""
    words = sentences = syllables = 0
    for text in texts:
        said = _filled(text)
        found = _WORD.findall(said)
        words += len(found)
        sentences += max(1, len(_SENTENCE.findall(said)))
        syllables += sum(1 if word[0].isdigit() else formula.syllables(word) for word in found)
    return Counted(words, sentences, syllables)


def _filled(text: str) -> str:
    """The line with a figure in each place, and the last form of each word that depends on a count."""
    for name, forms in counted(text):
        text = text.replace(f"{{{name}|{'|'.join(forms)}}}", forms[-1])
    return fill(text, dict.fromkeys(places(text), 5))
