"""The message for a command line that names no command or has an argument that the command does not take."""

import re
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import argparse

_OPTION = re.compile(r"--[a-z-]+")


def unknown_command(word: str, commands: Iterable[str]) -> str:
    """There is no such command: the commands, and the nearest one."""
    return _message(f"{word}: there is no such command", word, list(commands), "coach --help says what each does")


def unknown_argument(word: str, command: "argparse.ArgumentParser") -> str:
    """The command does not take this option or argument: its options, and the nearest one."""
    if not word.startswith("-"):
        usage = " ".join(command.format_usage().split()[1:])
        return f"{command.prog}: {word} is one word too many\n  expected: {usage}"
    options = [*dict.fromkeys(_OPTION.findall(command.format_usage())), "--help"]
    what = f"{command.prog}: it takes no {word}"
    return _message(what, word, options, f"{command.prog} --help says what each does")


def _message(what: str, word: str, words: list[str], to_do: str) -> str:
    from coach.toml.diagnostic import render_without_position, whole_file
    from coach.toml.nearest_name import nearest_name

    plain = {one.lstrip("-"): one for one in words}
    near = plain.get(nearest_name(word.lstrip("-"), list(plain)) or "")
    return render_without_position(whole_file(Path(word), what, f"one of {', '.join(words)}", to_do, near))
