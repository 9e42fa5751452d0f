"""How a command is added to the parser, and the options that several commands share."""

import argparse
from collections.abc import Callable
from pathlib import Path
from textwrap import fill
from typing import TypeAlias, get_args

from coach.command_table import COMMANDS
from coach.commands.support.output import EXIT_CODES
from coach.model.option_names import SignChoice, ThemeName

Commands: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"
_WIDTH = 79


def add_command(
    commands: Commands,
    name: str,
    run: Callable[[argparse.Namespace], int],
    details: str,
    examples: tuple[str, ...],
    client: bool = True,
) -> argparse.ArgumentParser:
    """Add a command with its help; `run` takes the parsed arguments and returns the exit code.

    Its line in the list of commands is in `COMMANDS`. `examples` are shell lines that run one after the other in the
    folder that holds demo_profiles and content. With `client` the first argument is the client's folder.
    """
    summary = COMMANDS[name].summary
    command = commands.add_parser(
        name,
        help=summary,
        description=f"{summary[0].upper()}{summary[1:]}.\n\n{fill(details, _WIDTH)}",
        epilog="\n  ".join(("examples:", *examples)) + f"\n\n{fill(EXIT_CODES, _WIDTH)}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    command.set_defaults(run=run)
    if client:
        command.add_argument("profile", type=client_path, metavar="PROFILE", help="the client's folder, or name")
    return command


def client_path(text: str) -> Path:
    """A client's folder as it was typed: its path, or the name of a client of this computer."""
    path = Path(text)
    if path.name != text:
        return path
    from coach.store.client_paths import is_client
    from coach.store.home.places import find_client, is_bare_name
    from coach.toml.diagnostic import FileFault

    if is_client(path):
        return path
    try:
        return (find_client(text) if is_bare_name(text) else None) or path
    except FileFault as fault:
        raise argparse.ArgumentTypeError(str(fault)) from None


def add_exercise(command: argparse.ArgumentParser) -> None:
    """Add --exercise: one exercise of a client's programme."""
    command.add_argument(
        "--exercise", metavar="NAME", help="the exercise of the programme, by its name there (default: each of them)"
    )


def add_theme(command: argparse.ArgumentParser, default: ThemeName | None = None) -> None:
    """Add --theme; without a `default` the theme of the client's profile is used."""
    command.add_argument(
        "--theme",
        choices=get_args(ThemeName),
        default=default,
        help=f"colours: dark, light or high contrast (default: {default or 'the theme in profile.toml'})",
    )


def add_signs(command: argparse.ArgumentParser, default: SignChoice | None = None) -> None:
    """Add --signs; without a `default` the setting of the client's profile is used."""
    command.add_argument(
        "--signs",
        choices=get_args(SignChoice),
        default=default,
        help="what drawings are made of, from coarse to fine; auto takes the finest that this terminal is known to "
        f"draw without gaps (default: {default or 'the setting in profile.toml'})",
    )


def add_content(command: argparse.ArgumentParser) -> None:
    """Add --content, with which everything that the command reads comes from another content folder."""
    command.add_argument(
        "--content",
        type=Path,
        metavar="FOLDER",
        help="try another content folder; it is checked first (default: the content of the program)",
    )


def add_target(command: argparse.ArgumentParser, metavar: str = "FILE", what: str = "the new file to write") -> None:
    """Add --to, the file or folder to write."""
    command.add_argument("--to", type=Path, required=True, metavar=metavar, help=what)
