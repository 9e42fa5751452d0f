"""`coach begin`: what the start file of a take-home folder runs."""

import argparse
from pathlib import Path

from coach.commands.home.mail import offer_to_write, take_in
from coach.commands.session import add_display_options, run_todays_session
from coach.commands.support.arguments import Commands, add_command
from coach.commands.support.output import FINE, print_wrapped


def add_commands(commands: Commands) -> None:
    """Add begin."""
    begin = add_command(
        commands,
        "begin",
        _begin,
        "The first time, the client is copied from the folder to this computer, and the keys of this computer are "
        "made. From then on the session runs on the copy, whatever becomes of the folder, and `coach` alone opens it "
        "too. A sealed file from the clinic that lies in the folder is shown and taken first; after the session one "
        "for the clinic can be written there. What is not whole, or is of another client of the same name, is "
        "refused, and nothing is changed.",
        (
            "coach take-home demo_profiles/tern --to tern_at_home",
            "coach begin tern_at_home",
            "coach session tern",
        ),
        client=False,
    )
    begin.add_argument("folder", type=Path, metavar="FOLDER", help="the folder that coach take-home made")
    add_display_options(begin)


def _begin(arguments: argparse.Namespace) -> int:
    from coach.store.home.taken import packed_client_in, taken_before

    packed = packed_client_in(arguments.folder)
    client = taken_before(packed) or _taken_now(packed)
    take_in(arguments.folder, client)
    arguments.profile = client
    code = run_todays_session(arguments)
    if code == FINE:
        offer_to_write(arguments.folder, client)
    return code


def _taken_now(packed: Path) -> Path:
    from coach.exchange.taking_home.coming_home import bring_home
    from coach.model.message_format import fill
    from coach.store.client_store import ClientStore

    client = bring_home(packed)
    messages = ClientStore.read(client).content.messages.client.take_home
    print_wrapped(fill(messages.taken, {"folder": client}))
    return client
