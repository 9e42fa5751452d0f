"""`coach proof`: the client's screens while their content is being edited."""

import argparse
from functools import cache
from pathlib import Path

from coach.commands.support.arguments import Commands, add_command
from coach.commands.support.coach_content import coach_messages, profile_and_prescription


def add_commands(commands: Commands) -> None:
    """Add proof."""
    proof = add_command(
        commands,
        "proof",
        _proof,
        "preview the client's screens while you edit the content",
        "Runs in a terminal next to your editor and redraws at every save. Keys move "
        "between screens, to those that the last save changed, and to other positions, "
        "exercises, languages and terminal sizes. While a file has a fault, the last "
        "valid screen stays and the fault is shown with it.",
        ("coach proof content", "coach proof content --client demo_profiles/heron"),
        client=False,
    )
    proof.add_argument("folder", type=Path, metavar="FOLDER", help="the content, or a clinic's own folder")
    proof.add_argument(
        "--client", type=Path, metavar="PROFILE", help="the client to show the screens for (default: a stand-in)"
    )


def _proof(arguments: argparse.Namespace) -> int:
    from coach.authoring.draft import EditedFolder
    from coach.screens.coach.proof_app import ProofApp
    from coach.screens.terminal import require_screens
    from coach.store.clock import now

    require_screens("The proof needs a terminal that is large enough for the client's screens.")
    client = profile_and_prescription(arguments.client)
    messages_in = cache(lambda language: coach_messages(language).proof)
    return ProofApp(EditedFolder(arguments.folder), *client, messages_in, now).run_to_end()
