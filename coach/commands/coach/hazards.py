"""`coach hazards`: the hazard log."""

import argparse
from pathlib import Path

from coach.commands.support.arguments import Commands, add_command
from coach.commands.support.output import FINE


def add_commands(commands: Commands) -> None:
    """Add hazards."""
    hazards = add_command(
        commands,
        "hazards",
        _hazards,
        "Each hazard in the terms of ISO 14971: the hazardous situation, the harm, its severity and probability, the "
        "controls by name, and the residual risk. `coach check` tests that every control exists and that every rule, "
        "check and warning sign that protects is named by a hazard.",
        ("coach hazards", "coach hazards content"),
        client=False,
    )
    hazards.add_argument(
        "folder",
        type=Path,
        nargs="?",
        metavar="FOLDER",
        help="a content folder (default: the content of the program)",
    )


def _hazards(arguments: argparse.Namespace) -> int:
    from coach.authoring.check_hazards import HAZARDS
    from coach.authoring.hazard_log import Hazards
    from coach.content_files.content_folder import content_folder
    from coach.reports.text.hazards import hazard_log
    from coach.toml.reader import read_model

    folder = arguments.folder or content_folder()
    print(hazard_log(read_model(folder / HAZARDS, Hazards).hazard), end="")
    return FINE
