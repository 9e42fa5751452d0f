"""The guide followed to the letter: its commands typed, its examples written, and what it shows compared."""

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

Run = Callable[[str], str]

_BLOCK = re.compile(r"^```(\w+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_PLACE = re.compile(r"# (\S+/\S+): (.+)\n")
_KEY = re.compile(r"^(\w+) = ")
# How each guide says where an example belongs; with a space at the end, the line that it is about follows.
_WHERE = ("lines", "without", "end", "before", "after")
_PHRASES = {
    "en": ("these lines", "without these lines", "at the end", "before ", "after "),
    "de": ("diese Zeilen", "ohne diese Zeilen", "am Ende", "vor ", "nach "),
}


@dataclass(frozen=True)
class Block:
    """An example of the guide: its kind (sh, text or toml), its text, and for a file which one and where in it."""

    kind: str
    text: str
    file: str = ""
    where: str = ""
    line: str = ""

    @property
    def is_edit(self) -> bool:
        return bool(self.file)


def blocks_of(guide: str, language: str) -> Iterator[Block]:
    """Every example, in order."""
    for kind, text in _BLOCK.findall(guide):
        place = _PLACE.match(text) if kind == "toml" else None
        if place is None:
            yield Block(kind, text)
            continue
        where, line = _where(place[2], language)
        yield Block(kind, text[place.end() :], place[1], where, line)


def _where(told: str, language: str) -> tuple[str, str]:
    for where, phrase in zip(_WHERE, _PHRASES[language], strict=True):
        if told == phrase:
            return where, ""
        if phrase.endswith(" ") and told.startswith(phrase):
            return where, told.removeprefix(phrase)
    raise AssertionError(f"nobody knows where that is: {told}")


def follow(blocks: Iterable[Block], folder: Path, run: Run) -> list[str]:
    """Do what the guide says, in order; returns each line that it promises and that is not shown."""
    missing, shown = [], ""
    for block in blocks:
        if block.kind == "sh":
            shown = "".join(run(line) for line in block.text.splitlines())
        elif block.kind == "text":
            missing += [line for line in block.text.splitlines() if line.strip() not in shown]
        elif block.is_edit:
            path = folder / block.file
            path.write_text(edited(path.read_text(encoding="utf-8"), block), encoding="utf-8")
    return missing


def edited(text: str, block: Block) -> str:
    """The text of a file as somebody leaves it who follows the example."""
    match block.where:
        case "end":
            return text + block.text
        case "before":
            return _around(text, block.line, block.text + "\n", "")
        case "after":
            return _around(text, block.line, "", block.text)
        case "without":
            assert text.count(block.text) == 1, block.text
            return text.replace(block.text, "")
        case _:
            return "".join(_with_lines(text, block.text))


def _around(text: str, line: str, before: str, after: str) -> str:
    assert text.count(f"\n{line}\n") == 1, line
    return text.replace(f"\n{line}\n", f"\n{before}{line}\n{after}")


def _with_lines(text: str, new: str) -> Iterator[str]:
    """The file with values replaced: each of the next value of that name, or of the same line, further down."""
    left = text
    for key, value in _values(new):
        same = re.search(rf"^{re.escape(value)}", left, re.MULTILINE) if key in ("fault", "name") else None
        there = same or re.search(rf"^{key} = (?:\[\n.*?^\]|.*?)\n", left, re.MULTILINE | re.DOTALL)
        assert there is not None, f"no {key} further down: {value}"
        yield left[: there.start()] + value
        left = left[there.end() :]
    yield left


def _values(new: str) -> Iterator[tuple[str, str]]:
    """The names and whole values of an example, those of several lines included."""
    lines: list[str] = []
    for line in new.splitlines(keepends=True):
        if _KEY.match(line) and lines:
            yield _KEY.match(lines[0])[1], "".join(lines)  # type: ignore[index]
            lines = []
        lines.append(line)
    if lines:
        yield _KEY.match(lines[0])[1], "".join(lines)  # type: ignore[index]
