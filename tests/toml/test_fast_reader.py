"""What is read fast is read alike by the standard library's own reader, and all else goes the careful way."""

import string
import tomllib
from datetime import UTC, date, datetime, timedelta, timezone
from functools import cache

import pytest
import tomli_w
from hypothesis import given
from hypothesis import strategies as st

from coach.toml.fast_reader import read_fast
from tests.demo.pristine import DEMO, TREE

_KEYS = st.text(string.ascii_lowercase + "_", min_size=1, max_size=8)
_ZONES = st.integers(-12 * 60, 14 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)))
_VALUES = st.one_of(
    st.integers(-(10**17), 10**17),
    st.floats(allow_nan=False, allow_infinity=False),
    st.booleans(),
    st.text(max_size=20),
    st.dates(date(1900, 1, 1)),
    st.datetimes(datetime(1900, 1, 1), timezones=_ZONES).map(lambda at: at.replace(microsecond=0)),  # noqa: DTZ001
)
_TABLES = st.dictionaries(_KEYS, _VALUES | st.lists(_VALUES, max_size=3), max_size=5)
_FILES = st.dictionaries(_KEYS, _VALUES | _TABLES | st.lists(_TABLES, max_size=3), max_size=6)


@given(_FILES)
def test_whatever_the_writer_writes_is_read_alike(data: dict[str, object]) -> None:
    """Against tomllib, the reader of the standard library: the same values of the same types, or the careful way."""
    text = tomli_w.dumps(data)
    found = read_fast(text)
    if found is not None:
        expected = tomllib.loads(text)
        assert found == expected
        assert _types(found) == _types(expected)


def _types(value: object) -> object:
    if isinstance(value, dict):
        return {key: _types(item) for key, item in value.items()}
    return [_types(item) for item in value] if isinstance(value, list) else type(value)


def test_records_are_read_fast_and_all_shipped_files_alike() -> None:
    """Without this a caseload would take several times as long, and nothing else would say so."""
    files = [*(DEMO).rglob("*.toml"), *(TREE / "content").rglob("*.toml")]
    assert files
    for file in files:
        text = file.read_text(encoding="utf-8")
        found = read_fast(text)
        assert found == tomllib.loads(text) or (found is None and file.parent.name != "records"), file


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ('a = "\\"ours\\", or \\"\\""\n', '"ours", or ""'),
        ('a = [\n    [\n        "b",\n        "c",\n    ],\n    [],\n]\n', [["b", "c"], []]),
    ],
)
def test_a_quote_in_a_text_and_a_list_of_lists_are_read_fast(text: str, value: object) -> None:
    assert read_fast(text) == tomllib.loads(text) == {"a": value}


@pytest.mark.parametrize(
    "text",
    [
        'a = "b\\\\"\n',
        'a = "\\e"\n',  # newer TOML than the standard library's reader takes
        "a = 07:32\n",
        "a = 2026-01-01 07:32+01:00\n",
        "a = {b = 1,}\n",
        "a = { b = 1,\n}\n",
        "a = 1\na = 2\n",
        "a = 01\n",
        "a = 2026-02-30\n",
        "a = 1.5 kg\n",
        "[a]\n[a]\n",
        'a = "b\x07"\n',
        "# \x01\n",
        "[a." + "b." * 300 + "c]\n",
        "a = inf\n",
        "a = [1.0, -nan]\n",
        "a = 1e4_00\n",
        "a = { b = +inf }\n",
        "a = " + "[" * 400 + "]" * 400 + "\n",
        "a = [\n" + "[\n# ]]\n[[1]\n," * 400 + "]" * 400 + "\n",
        "a = " + "{ b = " * 400 + "1" + " }" * 400 + "\n",
        "\ufeffa = 1\n",
        'a = "\\u001b"\n',
        'a = """b\nc"""\n',
        "a = '''b\nc'''\n",
        'a = "' + "b" * 20_000 + '"\n',
    ],
)
def test_a_slip_or_a_rare_form_goes_the_careful_way(text: str) -> None:
    assert read_fast(text) is None


_ENDS = (
    "[",
    "]",
    "{",
    "}",
    ",",
    "=",
    ".",
    "-",
    "+",
    "_",
    "#",
    "\n",
    "'",
    '"',
    "\\",
    " ",
    "e",
    "0",
    "inf",
    "T",
    ":",
    "é",
)


@given(st.data())
def test_a_changed_file_is_read_alike_or_with_care(data: st.DataObject) -> None:
    """Against tomllib: what a slip makes of a file, where the fast reader takes it, is the same data."""
    text = data.draw(st.sampled_from(_shipped()))
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(text)))
        text = text[:at] + data.draw(st.sampled_from(_ENDS)) + text[at + data.draw(st.integers(0, 2)) :]
    found = read_fast(text)
    if found is not None:
        expected = tomllib.loads(text)
        assert found == expected
        assert _types(found) == _types(expected)


@cache
def _shipped() -> list[str]:
    """Files that are read fast, in parts short enough to be changed often."""
    files = sorted([*DEMO.rglob("*.toml"), *(TREE / "content").rglob("*.toml")])
    parts = (file.read_text(encoding="utf-8")[:1500].rpartition("\n")[0] + "\n" for file in files)
    return [part for part in parts if read_fast(part) is not None]


def test_a_time_is_the_same_moment_with_the_same_offset() -> None:
    found = read_fast("at = 2026-11-06 18:12:46+01:00\n")
    assert found is not None
    assert found["at"] == datetime(2026, 11, 6, 17, 12, 46, tzinfo=UTC)
    assert found["at"].utcoffset() == timedelta(hours=1)


@pytest.mark.parametrize("code", [*range(32), 0x7F, 0x85, 0x9B, 0x200B, 0x202E])
def test_no_character_that_acts_on_a_terminal_is_read_fast(code: int) -> None:
    """As it is or behind a backslash; the ends of lines and tabs between values are of the file, not of its data."""
    for text in (f'a = "x{chr(code)}y"\n', f'a = "x\\u{code:04x}y"\n', f'a = """x{chr(code)}y"""\n'):
        assert read_fast(text) is None
