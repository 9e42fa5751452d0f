"""The coach's guide: a Markdown file of each language, read chapter by chapter."""

import re
from pathlib import Path

from msgspec import Struct

from coach.content_files.content_folder import languages, shipped_folder
from coach.toml.diagnostic import Refusal, whole_file
from coach.toml.nearest_name import nearest_name
from coach.toml.reader import read_text

GUIDE = "guide.md"
ALL = "all"
_CHAPTER = re.compile(r"^## (?=\d+\. )", re.MULTILINE)


class Guide(Struct, frozen=True):
    """A guide: what stands before the first chapter, and the chapters, each beginning with its number and title."""

    opening: str
    chapters: tuple[str, ...]

    @property
    def titles(self) -> tuple[str, ...]:
        """The number and the title of each chapter, such as `2. What TOML is`."""
        return tuple(chapter.partition("\n")[0] for chapter in self.chapters)

    def text(self, chapter: str = "") -> str:
        """The opening with the titles; a chapter by its number or a word of its title; or, for `all`, everything.

        Raises Refusal if there is no such chapter.
        """
        contents = "\n".join(f"  {title}" for title in self.titles)
        if not chapter:
            return f"{self.opening}\n\n{contents}"
        if chapter == ALL:
            return "\n\n".join((self.opening, contents, *(f"## {one}" for one in self.chapters)))
        found = [one for one, title in zip(self.chapters, self.titles, strict=True) if _is_meant(chapter, title)]
        if not found:
            raise self._no_such_chapter(chapter)
        return "\n\n".join(f"## {one}" for one in found)

    def _no_such_chapter(self, chapter: str) -> Refusal:
        words = [word for title in self.titles for word in re.findall(r"\w+", title.lower())]
        near = nearest_name(chapter.lower(), words)
        what, expected = f"there is no chapter {chapter}", f"{ALL}, or one of: {'; '.join(self.titles)}"
        return Refusal([whole_file(Path(chapter), what, expected, "", near)])


def _is_meant(chapter: str, title: str) -> bool:
    number, _, words = title.lower().partition(". ")
    return chapter.rstrip(".") == number if chapter.rstrip(".").isdigit() else chapter.lower() in words


def read_guide(language: str) -> Guide:
    """The guide in a language. Raises Refusal if there is none."""
    folder = shipped_folder()
    known = [one for one in languages(folder) if (folder / one / GUIDE).exists()]
    if language not in known:
        what = f"there is no guide in the language {language}"
        raise Refusal([whole_file(Path(language), what, f"one of {', '.join(known)}")])
    opening, *chapters = _CHAPTER.split(read_text(folder / language / GUIDE))
    return Guide(opening.strip(), tuple(chapter.strip() for chapter in chapters))
