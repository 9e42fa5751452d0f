"""`coach guide`: how to write content, from what TOML is to a new exercise."""

import argparse

from coach.commands.support.arguments import Commands, add_command
from coach.commands.support.output import FINE


def add_commands(commands: Commands) -> None:
    """Add guide."""
    guide = add_command(
        commands,
        "guide",
        _guide,
        "From what TOML is to a new exercise, for somebody who has never written such a "
        "file. Without a chapter it lists the chapters. Every example in it can be typed "
        "as it stands.",
        ("coach guide", "coach guide 2", "coach guide cue", "coach guide all --language de"),
        client=False,
    )
    guide.add_argument(
        "chapter",
        nargs="?",
        default="",
        metavar="CHAPTER",
        help="the number of a chapter, or a word of its title; all for the whole guide",
    )
    guide.add_argument(
        "--language", default="en", metavar="LANGUAGE", help="the language of the guide: en or de (default: en)"
    )


def _guide(arguments: argparse.Namespace) -> int:
    from coach.authoring.first_steps.guide import read_guide

    print(read_guide(arguments.language).text(arguments.chapter))
    return FINE
