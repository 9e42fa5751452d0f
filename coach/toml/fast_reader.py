"""Reading TOML fast: a caseload can have tens of thousands of files.

The texts read this way are those that this reader and the standard library's read alike. Everything else, faulty
texts included, is left to the careful parser, which can say what is wrong.
"""

import re
from typing import Any

import msgspec
import toml_rs

from coach.toml.reader import MAX_DOTS, MAX_LINE, MAYBE_OTHER_YEAR

# What msgspec writes for a number that is not finite, which JSON does not have (RFC 8259, section 6).
_NOT_FINITE = re.compile(rb"[:,\[]null")
# The reader ends the program where lists are nested too deeply for its stack: 1.4 kB a level was measured, and the
# smallest stack of a thread of Python is 1 MB (Windows).
_MOST_LISTS = 300
_TABLE = re.compile(r"=[ \t]*\{")  # and none that is a value of a list, which is counted
# It begins with a character and not with ^, and so is found in a third of the time.
_HEADER = re.compile(r"\n(?:\[\[[^\[\]\n]*\]\]|\[[^\[\]\n]*\])(?=\n)")


def read_fast(text: str) -> dict[str, Any] | None:
    """The data of a text; None if it is faulty, holds nothing, or characters or numbers that files must not hold."""
    if not _is_plain(text):
        return None
    try:
        data = toml_rs.loads(text, toml_version="1.0.0")
        written = msgspec.json.encode(data)
    except (ValueError, OverflowError, RecursionError):
        return None
    infinite = b"null" in written and _NOT_FINITE.search(written)
    escaped = b"\\" in written and not _only_before_quotes(written.decode())
    return None if infinite or escaped else data or None


def _is_plain(text: str) -> bool:
    """Whether a text is not too long or deep, has dates of our years, and no character that acts on a terminal.

    Those of ASCII are seen in the data, where they stand with a backslash.
    """
    return (
        (text.isascii() or text.replace("\n", "").isprintable())
        and _only_before_quotes(text)
        and not MAYBE_OTHER_YEAR.search(text)
        and ((len(text) <= MAX_LINE and text.count(".") <= MAX_DOTS) or _has_short_lines(text))
        and (_opened(text) <= _MOST_LISTS or _lists(text) <= _MOST_LISTS)
    )


def _has_short_lines(text: str) -> bool:
    """Whether no line is too long or has too many dots; only lines with more characters than that can have them."""
    lines = [line for line in text.split("\n") if len(line) > MAX_DOTS]
    return all(len(line) <= MAX_LINE and line.count(".") <= MAX_DOTS for line in lines)


def _only_before_quotes(text: str) -> bool:
    """Whether each backslash, of TOML or of JSON, stands before a quote, and so for no other character."""
    return "\\" not in text or text.count("\\") == text.count('\\"')


def _opened(text: str) -> int:
    """The brackets and braces that open something. Most texts have no brace, which is found sooner than counted."""
    return text.count("[") + (text.count("{") if "{" in text else 0)


def _lists(text: str) -> int:
    """The lists and tables that are values: no more than these can be in each other."""
    return _HEADER.sub("", f"\n{text}\n").count("[") + len(_TABLE.findall(text))
