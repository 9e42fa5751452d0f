"""Whether a length that is filled in stands with its unit, and with the words of what it is the length of.

Another unit, or the height where the distance belongs, is another load than is computed.
"""

import re
from collections.abc import Iterator, Mapping
from contextlib import suppress

from coach.authoring.check_placeholders import texts_in_file
from coach.authoring.check_wording import Search, search_for
from coach.content_files.content_folder import WORDING, ContentFiles
from coach.content_files.names_of_copies import without_copies
from coach.model.content import Content
from coach.model.messages.wording import Number, Wording
from coach.toml.diagnostic import Diagnostic, FileFault
from coach.toml.reader import is_there, read_model
from coach.toml.source_file import SourceFile

# A number of centimetres and what stands after it; the unit in letters of other languages counts too.
_CENTIMETRES = re.compile(r"\{(\w+_cm)\}(?P<after>[^\S\n]*(?P<unit>[^\W\d_]*))")
_UNITS = ("cm", "см", "centimet", "zentimet", "centímet", "centimèt")
# Where one length ends and the next may begin: a height and a distance are often told in one sentence.
_CLAUSE = re.compile(r"[,.;:()]")


def check_numbers_say(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """A fault for each number of centimetres with another unit, and each that stands with the words of another."""
    language = content.messages.language
    numbers = _numbers(files, language)
    folders = (files.folder, *([files.clinic] if files.clinic is not None else []))
    for path in (path for folder in folders for path in without_copies((folder / language).glob("*.toml"))):
        for at, text in texts_in_file(path) if path.name != WORDING else ():
            if "_cm}" not in text:
                continue
            told = _unit(text) or _words(text, numbers)
            if told is not None:
                yield SourceFile(path).at_value(at, *told)


def _unit(text: str) -> tuple[str, str, str] | None:
    for number in _CENTIMETRES.finditer(text):
        if not number["unit"].lower().startswith(_UNITS):
            there = f"{number['unit']!r}" if number["unit"] else "no unit"
            what = f"{{{number[1]}}} is a number of centimetres, and {there} stands after it"
            return what, f"{{{number[1]}}} cm", "write cm after it"
    return None


def _words(text: str, numbers: Mapping[str, Search]) -> tuple[str, str, str] | None:
    for clause in _CLAUSE.split(text):
        for name, own in numbers.items():
            if f"{{{name}}}" not in clause or own.find(clause) is not None:
                continue
            for other, words in numbers.items():
                found = words.find(clause) if f"{{{other}}}" not in clause else None
                if found is not None:
                    what = f"{{{name}}} stands with {found!r}, which belongs to {{{other}}}"
                    expected = f"{{{name}}} with one of: {', '.join(own.words)}"
                    return what, expected, f"write {{{other}}} here, if that is meant"
    return None


def _numbers(files: ContentFiles, language: str) -> Mapping[str, Search]:
    """The words that belong to each number in a language; none where there is no list of them."""
    path = files.folder / language / WORDING
    numbers: tuple[Number, ...] = ()
    with suppress(FileFault):  # told by the check of the words
        numbers = read_model(path, Wording).number if is_there(path) else ()
    return {one.name: search_for(one.words) for one in numbers}
