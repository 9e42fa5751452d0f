"""How a command is declared: its help, and the options that several commands have alike."""

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import get_args

from coach.commands.support.output import EXIT_CODES
from coach.model.theme_name import ThemeName


def declare(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]",
    name: str,
    run: Callable[[argparse.Namespace], int],
    job: str,
    about: str,
    examples: tuple[str, ...],
    client: bool = True,
) -> argparse.ArgumentParser:
    """A command with its help and exit codes; with the client's folder as its first word.

    `job` is its line in the list of commands. `examples` are lines for a shell, which go one after the other from
    the folder that holds demo_profiles and content.
    """
    command = commands.add_parser(
        name,
        help=job,
        description=f"{job[0].upper()}{job[1:]}.\n\n{about}",
        epilog="\n  ".join(("examples:", *examples)) + f"\n\n{EXIT_CODES}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    command.set_defaults(run=run)
    if client:
        command.add_argument("profile", type=Path, metavar="PROFILE", help="the client's folder")
    return command


def add_theme(command: argparse.ArgumentParser, otherwise: ThemeName | None = None) -> None:
    """--theme; without it `otherwise`, or as the client's profile says."""
    without = otherwise or "as in profile.toml"
    colours = "colours: dusk is dark, day is light, contrast is strong"
    command.add_argument(
        "--theme", choices=get_args(ThemeName), default=otherwise, help=f"{colours}; {without} without it"
    )


def add_target(command: argparse.ArgumentParser, metavar: str = "FILE", what: str = "a new file to write") -> None:
    """--to: where what the command makes is put."""
    command.add_argument("--to", type=Path, required=True, metavar=metavar, help=what)
