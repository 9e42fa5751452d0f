"""Reading the plainest forms of TOML fast: a caseload can have tens of thousands of files.

Only a few forms are read this way: those that the program itself writes and the usual ones of a person, which every
TOML parser reads alike. Everything else, faulty texts included, is left to the careful parser, which can say what is
wrong.
"""

import re
from typing import Any

import rtoml

_KEY = r"[A-Za-z_][A-Za-z0-9_-]{0,60}"
_QUOTED = r'"[a-z0-9_.]{1,60}"'  # the messages of a form name fields by their whole key: "profile.stature_m"
_STEP = rf"(?:{_KEY}|\d{{1,4}})"  # part of a table's path; a table can be named by a number of degrees
_NUMBER = r"-?\d{1,18}(?:\.\d{1,30})?(?:e-?\d{1,2})?"
_PART = r'[^"\\\x00-\x1f\x7f]{0,2500}'  # of a text, up to a quote inside it
_TEXT = rf'"{_PART}(?:\\"{_PART}){{0,9}}"'
_DATE = r"\d{4}-\d\d-\d\d"
_VALUE = rf"(?:{_TEXT}|{_DATE}(?: \d\d:\d\d:\d\d[+-]\d\d:\d\d)?|{_NUMBER}|true|false)"
_TABLE = rf"\{{ {_KEY} = {_VALUE}(?:, {_KEY} = {_VALUE}){{0,9}} \}}"
_ITEM = rf"(?:{_VALUE}|{_TABLE})"
_COMMENT = r" {0,8}#[^\x00-\x1f\x7f]{0,1000}"
_INNER = rf"\[(?:\n(?: {{1,12}}{_VALUE},\n){{1,40}} {{1,8}})?\]"  # a list of lists as the writer sets it
_LIST = rf"\[(?:\n(?:(?: {{1,8}}(?:{_ITEM}|{_INNER}),|{_COMMENT})\n){{0,400}}|{_ITEM}(?:, {_ITEM}){{0,40}})?\]"
_HEADER = rf"\[{_KEY}(?:\.{_STEP}){{0,4}}\]|\[\[{_KEY}(?:\.{_STEP}){{0,4}}\]\]"
_LINE = rf"(?:(?:{_KEY}|{_QUOTED}) = (?:{_VALUE}|{_TABLE}|{_LIST})|{_HEADER})?(?:{_COMMENT})?\n"
_PLAIN = re.compile(rf"(?:{_LINE})*")


def is_clean(text: str) -> bool:
    """Whether no character of a text in plain forms acts on a terminal. Its numbers are finite by their form.

    The forms take no such character of ASCII, but for the ends of lines.
    """
    return text.isascii() or text.replace("\n", "").replace("\r", "").isprintable()


def read_fast(text: str) -> dict[str, Any] | None:
    """The data of a text in plain forms; None if it holds anything else, a fault, or nothing."""
    if _PLAIN.fullmatch(text) is None:
        return None
    try:
        return rtoml.loads(text) or None
    except rtoml.TomlParsingError:
        return None
