"""What is said of a command line that names no command, or gives one a word that it does not take."""

import argparse
import re
from collections.abc import Mapping
from pathlib import Path

_OPTION = re.compile(r"--[a-z-]+")


def no_command(word: str, commands: Mapping[str, argparse.ArgumentParser]) -> str:
    """There is no command of that name: which there are, and the nearest."""
    return _said(f"{word}: there is no such command", word, list(commands), "coach --help says what each does")


def not_taken(word: str, command: argparse.ArgumentParser) -> str:
    """The command takes no such option, or no further word: which options it takes, and the nearest."""
    if not word.startswith("-"):
        usage = " ".join(command.format_usage().split()[1:])
        return f"{command.prog}: {word} is one word too many\n  expected: {usage}"
    options = [*dict.fromkeys(_OPTION.findall(command.format_usage())), "--help"]
    return _said(f"{command.prog}: it takes no {word}", word, options, f"{command.prog} --help says what each does")


def _said(what: str, word: str, words: list[str], to_do: str) -> str:
    from coach.toml.diagnostic import render_without_position, whole_file
    from coach.toml.nearest_name import nearest_name

    plain = {one.lstrip("-"): one for one in words}
    near = plain.get(nearest_name(word.lstrip("-"), list(plain)) or "")
    return render_without_position(whole_file(Path(word), what, f"one of {', '.join(words)}", to_do, near))
