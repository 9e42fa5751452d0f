"""`coach proof`: the client's screens while their content is being edited."""

import argparse
from functools import cache
from pathlib import Path

from coach.commands.support.arguments import Commands, add_command
from coach.commands.support.coach_content import coach_messages, profile_and_prescription
from coach.commands.support.output import FAULTS, FINE, print_error, print_result

_SHOWN = 3  # pages that are named of each message


def add_commands(commands: Commands) -> None:
    """Add proof."""
    proof = add_command(
        commands,
        "proof",
        _proof,
        "Runs in a terminal next to your editor and redraws at every save. Keys move "
        "between screens, to those that the last save changed, and to other positions, "
        "exercises, languages and terminal sizes. While a file has a fault, the last "
        "valid screen stays and the fault is shown with it. After the client's screens come the "
        "tables of all other messages. --find and --list need no terminal.",
        (
            "coach proof content",
            "coach proof content --client demo_profiles/heron",
            'coach proof content --find "out of the line"',
            "coach proof content --list",
        ),
        client=False,
    )
    proof.add_argument("folder", type=Path, metavar="FOLDER", help="the content, or a clinic's own folder")
    proof.add_argument(
        "--client", type=Path, metavar="PROFILE", help="the client to show the screens for (default: a stand-in)"
    )
    alone = proof.add_mutually_exclusive_group()
    alone.add_argument(
        "--find",
        metavar="TEXT",
        help="where is this said? file, line and page of each text with these words, also of one that is filled in",
    )
    alone.add_argument(
        "--list", metavar="LANGUAGE", nargs="?", const="en", help="each message by name, with the page that shows it"
    )


def _proof(arguments: argparse.Namespace) -> int:
    if arguments.find is not None or arguments.list is not None:
        return _places(arguments)
    from coach.authoring.draft import EditedFolder
    from coach.screens.coach.proof_app import ProofApp
    from coach.screens.terminal import require_screens
    from coach.store.clock import now

    require_screens("The proof needs a terminal that is large enough for the client's screens.")
    client = profile_and_prescription(arguments.client)
    messages_in = cache(lambda language: coach_messages(language).proof)
    return ProofApp(EditedFolder(arguments.folder), *client, messages_in, now).run_to_end()


def _places(arguments: argparse.Namespace) -> int:
    """Print where messages stand and which pages show them."""
    from coach.authoring.draft import EditedFolder
    from coach.model.message_format import fill
    from coach.screens.coach.find_messages import Finder
    from coach.store.clock import now

    messages = coach_messages().proof
    finder = Finder(EditedFolder(arguments.folder), *profile_and_prescription(arguments.client), now().at)
    if arguments.find is None:
        for (file, key), pages in finder.pages_of_all(arguments.list):
            print_result(f"{file} {key}: {_some(pages)}")
        return FINE
    found = list(finder.find(arguments.find))
    for one in found:
        place = f"{one.path}:{one.line}:{one.column}"
        print_result(f"{place}: {one.key}: {one.text}")
        if one.pages:
            print_result(f"  {fill(messages.shown_on, {'pages': _some(one.pages)})}")
    return FINE if found else print_error(fill(messages.not_found, {"text": arguments.find}), FAULTS)


def _some(pages: tuple[str, ...]) -> str:
    """The first pages of many."""
    more = f", +{len(pages) - _SHOWN}" if len(pages) > _SHOWN else ""
    return ", ".join(pages[:_SHOWN]) + more
