"""How many syllables a word has, counted as groups of vowels that are heard.

No dictionary of hyphenation does it: it parts fewer words than it has syllables (a-re-a), and the one for German
takes most of a second to read.
"""

import re

_GERMAN_QU = re.compile(r"qu")
_GERMAN = re.compile(r"(?<=in)i|aa|ai|au|äu|ee|ei|eu|ie|oo|[aeiouyäöüéèà]")
_ENGLISH = re.compile(r"[aeiouy]+")
# Letters that are written and not heard: at the end, or before another part of the word.
_MUTE = re.compile(
    r"(?<=[^aeiouy])e$(?<![^aeiouy]le)|(?<![sxzcg])(?<![cs]h)es$(?<![aeiouy]es)(?<![^aeiouy]les)|(?<![tdaeiouy])ed$"
    r"|(?<=[aeiou][^aeiou])e(?=ty$|ly$|ful|ment|thing|arm|one$|times$|ways$)"
)
# Neighbours that are heard as two; not those of -tion, -cial and -cious.
_APART = re.compile(r"(?<![cts])i(?=a|o|u)|(?<!g)e(?=a$|o)|(?<![gq])u(?=al|ou)|(?<=[aeiouy])i(?=ng)")


def english_syllables(word: str) -> int:
    """The syllables of an English word as it is spoken; at least one."""
    written = word.lower()
    heard = _MUTE.sub("", written) if len(_ENGLISH.findall(written)) > 1 else written
    return max(1, len(_ENGLISH.findall(heard)) + len(_APART.findall(heard)))


def german_syllables(word: str) -> int:
    """The syllables of a German word; at least one."""
    return max(1, len(_GERMAN.findall(_GERMAN_QU.sub("k", word.lower()))))
