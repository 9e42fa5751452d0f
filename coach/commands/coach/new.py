"""`coach new`: the files of a new exercise to be filled in, or a copy of the content to be edited."""

import argparse
from pathlib import Path
from typing import get_args

from coach.commands.support.arguments import Commands, add_command
from coach.commands.support.coach_content import coach_messages
from coach.commands.support.output import print_result
from coach.model.option_names import Direction


def add_commands(commands: Commands) -> None:
    """Add new."""
    new = add_command(
        commands,
        "new",
        _new,
        "`coach new content FOLDER` copies the content of the program. `coach new exercise "
        "NAME` makes the files of an exercise, in each language, with a comment for each "
        "line and ??? in place of each value; `coach check` lists every ??? that is left. "
        "Nothing is ever overwritten. `coach guide 9` leads through it.",
        (
            "coach new content mine",
            "coach new exercise side_press --motion press --to mine",
            "coach new exercise turn_halfway --position 45",
        ),
        client=False,
    )
    new.add_argument("kind", choices=("exercise", "content"), help="what to begin")
    new.add_argument("name", metavar="NAME", help="the name of the exercise, or the new folder for the content")
    new.add_argument(
        "--motion",
        choices=get_args(Direction),
        default="external",
        help="of an exercise: what the arm does against the band (default: external rotation)",
    )
    new.add_argument(
        "--position",
        type=int,
        default=0,
        metavar="DEGREES",
        help="of a rotation: how far the upper arm is lifted, 0 to 90 (default: 0, at the side)",
    )
    new.add_argument(
        "--to",
        type=Path,
        default=Path("clinic"),
        metavar="FOLDER",
        help="of an exercise: a copy of the content, or a folder called clinic next to the clients (default: clinic)",
    )


def _new(arguments: argparse.Namespace) -> int:
    from coach.authoring.first_steps.new_content import copy_content
    from coach.authoring.first_steps.new_exercise import NewExercise, write_new_exercise
    from coach.model.message_format import fill

    messages = coach_messages().new
    if arguments.kind == "content":
        count = copy_content(Path(arguments.name))
        return print_result(fill(messages.content, {"files": count, "folder": arguments.name}))
    wanted = NewExercise(arguments.name, arguments.motion, arguments.position)
    for path in write_new_exercise(wanted, arguments.to):
        print_result(str(path))
    return print_result(fill(messages.exercise, {"folder": arguments.to}))
