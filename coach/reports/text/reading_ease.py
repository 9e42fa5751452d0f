"""How easy the client's words are to read in each language, and the lines that are hardest. A report, no fault."""

from collections.abc import Iterator
from pathlib import Path

from coach.authoring.client_sentences import client_lines
from coach.authoring.reading_ease import FORMULAS, Formula, counted_in, level
from coach.content_files.content_folder import languages
from coach.toml.diagnostic import shortened, shown

_NAMED = 3
# The formulas were made for passages: of a few words, one long word makes a line look hard. Ours.
_FEWEST_WORDS = 8


def reading_text(folder: Path) -> Iterator[str]:
    """A paragraph for each language of a content folder that has a formula and sentences."""
    for language in languages(folder):
        formula = FORMULAS.get(language)
        if formula is not None:
            yield from _of_language(folder, language, formula)


def _of_language(folder: Path, language: str, formula: Formula) -> Iterator[str]:
    lines = tuple(client_lines(folder, language))
    whole = counted_in((line.text for line in lines), formula)
    if not whole.words:
        return
    ease = formula.ease(whole)
    yield (
        f"{shown(str(folder / language))}: reading ease of the client's words {ease:.0f}, {level(ease)} "
        f"({formula.source}; {whole.words} words, {whole.sentences} sentences)"
    )
    counts = [(line, counted_in((line.text,), formula)) for line in lines]
    eases = {line: formula.ease(found) for line, found in counts if found.words >= _FEWEST_WORDS}
    for line in sorted(eases, key=lambda line: eases[line])[:_NAMED]:
        at = line.told(shortened(line.text, 60))
        yield f"  least readable: {shown(str(at.path))}:{at.line}:{at.column}: {eases[line]:.0f}: {at.what}"
