"""Where keys and values stand, against what the standard library reads in the same text."""

import re
import tomllib
from collections.abc import Iterator
from datetime import date

import pytest

from coach.toml.source_positions import KeyPath, find_positions
from tests.demo.pristine import DEMO, TREE

FILES = sorted(
    path for folder in (TREE / "content", DEMO / "plover", TREE / "tests/store") for path in folder.rglob("*.toml")
)


def leaves(value: object, path: KeyPath = ()) -> Iterator[tuple[KeyPath, object]]:
    """Every value that holds no other, by its path."""
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else None
    if inside is None:
        yield path, value
    for key, one in inside or ():
        yield from leaves(one, (*path, key))


def begins_with(text: str, value: object) -> bool:
    """Whether a text begins with a value as TOML writes it."""
    if isinstance(value, str):
        return text[0] in "\"'" and text.strip("\"'")[:3].startswith(value[:1])
    if isinstance(value, bool | date):
        return text.replace("T", " ").lower().startswith(str(value).lower())
    number = re.match(r"[-+]?[0-9.]+(e[-+]?\d+)?", text)
    return number is not None and float(number[0]) == value


@pytest.mark.parametrize("path", FILES, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_every_value_that_is_read_stands_at_its_place(path: object) -> None:
    text = (TREE / str(path)).read_text(encoding="utf-8")
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        pytest.skip("a file that is spoilt on purpose")
    positions, lines = find_positions(text), text.split("\n")
    for key, value in leaves(data):
        at = positions.values[key]
        assert begins_with("\n".join([lines[at.line - 1][at.column - 1 :], *lines[at.line :]]), value), (key, at)
    assert positions.duplicates == []


def test_a_value_stands_before_the_comment_behind_it() -> None:
    positions = find_positions('out = "in"  # the way against the band\nlow = [1, # one\n 2] # two\n')
    assert positions.of_value(("out",)) == (1, 7)
    assert positions.of_value(("low", 1)) == (3, 2)


@pytest.mark.parametrize(
    ("text", "path", "place"),
    [
        ('"""a = 1"""\nb = 2', ("b",), (2, 1)),  # a key that is none
        ("a = [1, { b = 2\nc = 3", ("c",), (1, 1)),  # the list is never closed: what follows may be in it
        ("a = \nb = 1", ("b",), (2, 1)),
        ('a = """\nb = 1\n"""\nb = 2', ("b",), (4, 1)),
        ("a = 'x\nb = 2", ("b",), (2, 1)),
        ("[a\nb = 2", ("a", "b"), (2, 1)),
        ("a = [}]\nb = 2", ("b",), (2, 1)),
        ("a.b.c = 1", ("a", "b", "c"), (1, 1)),
        ("[ a . 'b.c' ]\nd = 1", ("a", "b.c", "d"), (2, 1)),
        ("", ("a",), (1, 1)),
        ("a", ("a",), (1, 1)),
        ("a =", ("a",), (1, 1)),
    ],
)
def test_what_is_spoilt_hides_little_of_the_rest(text: str, path: KeyPath, place: tuple[int, int]) -> None:
    assert find_positions(text).of_key(path) == place


@pytest.mark.parametrize("text", ["[" * 5000, "{a=" * 5000, "a = [" * 3000, "a." * 5000, '"' * 9999, "'''" * 3333])
def test_what_is_endless_comes_to_an_end(text: str) -> None:
    find_positions(f"a = 1\nb = {text}\n{text}")
