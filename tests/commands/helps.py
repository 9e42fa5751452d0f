"""What the command says of itself: the list of commands, and the help of each, as a person reads it."""

import os
import re
from contextlib import redirect_stdout, suppress
from functools import cache
from io import StringIO
from unittest import mock

from coach.cli import main

_SELDOM = re.compile(r"^ {2}and seldom: ([a-z,\s-]+) \(each.*$", re.MULTILINE)
_LISTED = re.compile(r"^ {2}([a-z-]+) +(\S.*)$", re.MULTILINE)


@cache
def help_of(*command: str) -> str:
    """The help of a command, or of the program, in a terminal of 80 columns."""
    said = StringIO()
    with mock.patch.dict(os.environ, {"COLUMNS": "80"}), redirect_stdout(said), suppress(SystemExit):
        main([*command, "--help"])
    return said.getvalue()


def commands() -> dict[str, str]:
    """Each command with what is said of it in the list, or for the seldom ones in its own help."""
    listed = help_of()
    seldom = _SELDOM.search(listed)
    assert seldom is not None
    said = {name: help_of(name).split("\n\n")[1].rstrip(".") for name in " ".join(seldom[1].split()).split(", ")}
    often = _LISTED.findall(listed.replace(seldom[0], ""))
    return dict(often) | {name: text[0].lower() + text[1:] for name, text in said.items()}


def examples_of(command: str) -> list[str]:
    """The lines for a shell in the help of a command; a line that goes on in the next one is joined."""
    told = help_of(command).partition("\nexamples:\n")[2].partition("\n\n")[0]
    return [line.strip() for line in re.sub(r"\\\n\s*", "", told).splitlines()]


def words_of(command: str) -> dict[str, str]:
    """Each word and option that may follow a command, with what is said of it."""
    blocks = [block for block in help_of(command).split("\n\n") if block.startswith(("positional", "options:"))]
    entries = [entry.strip() for block in blocks for entry in re.split(r"\n {2}(?! )", block)[1:]]
    return {word: meaning for word, _, meaning in (re.split(r"(\s{2,}|$)", entry, maxsplit=1) for entry in entries)}
