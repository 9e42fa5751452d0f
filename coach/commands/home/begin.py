"""`coach begin`: what the start file of a take-home folder runs."""

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from coach import __version__
from coach.commands.home.mail import offer_to_write, take_in
from coach.commands.session import add_display_options, run_todays_session
from coach.commands.support.arguments import Commands, add_command
from coach.commands.support.output import FINE, print_wrapped

if TYPE_CHECKING:
    from coach.model.messages.at_home import TakeHomeMessages


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
    from coach.store.home.taken import brought_version, packed_client_in, taken_before

    packed, brought = packed_client_in(arguments.folder), brought_version(arguments.folder)
    before = taken_before(packed)
    client = before or _taken_now(packed, brought)
    try:
        _say_versions(brought, client, is_first=before is None)
        take_in(arguments.folder, client)
    except Exception as error:
        from coach.commands.home.known_stop import say_before

        say_before(error, client)
        raise
    arguments.profile = client
    code = run_todays_session(arguments)
    if code == FINE:
        offer_to_write(arguments.folder, client)
    return code


def _taken_now(packed: Path, brought: str | None) -> Path:
    from coach.exchange.taking_home.coming_home import bring_home
    from coach.model.message_format import fill
    from coach.store.client_store import ClientStore
    from coach.store.home.taken import is_newer
    from coach.toml.diagnostic import FileFault

    try:
        client = bring_home(packed)
    except FileFault:
        if brought is not None and is_newer(brought, __version__):
            for messages in _in_every_language():
                _say_newer(messages.needs_newer, messages, brought)
        raise
    taken = ClientStore.read(client).content.messages.client.take_home.taken
    print_wrapped(fill(taken, {"folder": client}))
    return client


def _say_versions(brought: str | None, client: Path, is_first: bool) -> None:
    """Say that the program in the folder is not the one that runs; that of an older folder is said once."""
    from coach.model.message_format import fill
    from coach.store.client_store import ClientStore
    from coach.store.home.taken import is_newer

    if brought is None or brought == __version__ or not (is_first or is_newer(brought, __version__)):
        return
    messages = ClientStore.read(client).content.messages.client.take_home
    if is_newer(brought, __version__):
        _say_newer(messages.newer_folder, messages, brought)
    else:
        print_wrapped(fill(messages.older_folder, {"brought": brought, "own": __version__}))


def _say_newer(line: str, messages: "TakeHomeMessages", brought: str) -> None:
    """Say that the folder brings a newer program, and how to install it if a start file installed the one here."""
    from coach.model.message_format import fill
    from coach.store.home.taken import installed_program

    print_wrapped(fill(line, {"brought": brought, "own": __version__}))
    program = installed_program()
    if program is not None:
        print_wrapped(fill(messages.renew, {"program": program}))


def _in_every_language() -> Iterator["TakeHomeMessages"]:
    """The messages in every language, for a folder whose client, and so whose language, could not be read."""
    from coach.content_files.content_folder import content_folder, languages, load_content

    folder = content_folder()
    return (load_content(folder, language).messages.client.take_home for language in sorted(languages(folder)))
