"""`coach begin`: what the start file of a take-home folder runs."""

import argparse
from pathlib import Path

from coach import __version__
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
    from coach.store.home.taken import brought_version, packed_client_in, taken_before

    packed, brought = packed_client_in(arguments.folder), brought_version(arguments.folder)
    before = taken_before(packed)
    client = before or _taken_now(packed, brought)
    _say_versions(brought, client, is_first=before is None)
    take_in(arguments.folder, client)
    arguments.profile = client
    code = run_todays_session(arguments)
    if code == FINE:
        offer_to_write(arguments.folder, client)
    return code


def _taken_now(packed: Path, brought: str | None) -> Path:
    from coach.exchange.taking_home.coming_home import bring_home
    from coach.model.message_format import fill
    from coach.store.client_store import ClientStore
    from coach.store.home.taken import installed_program, is_newer
    from coach.toml.diagnostic import FileFault, whole_file

    try:
        client = bring_home(packed)
    except FileFault as fault:
        if brought is None or not is_newer(brought, __version__):
            raise
        what = f"the folder brings Steady Arc {brought}, and this computer has {__version__}"
        program = installed_program()
        fix = f"remove {program} and open the start file again" if program else "install the newer one"
        raise FileFault([*fault.faults, whole_file(packed, what, "the program of the folder", fix)]) from None
    messages = ClientStore.read(client).content.messages.client.take_home
    print_wrapped(fill(messages.taken, {"folder": client}))
    return client


def _say_versions(brought: str | None, client: Path, is_first: bool) -> None:
    """Say that the program in the folder is not the one that runs; that of an older folder is said once."""
    from coach.model.message_format import fill
    from coach.store.client_store import ClientStore
    from coach.store.home.taken import installed_program, is_newer

    if brought is None or brought == __version__ or not (is_first or is_newer(brought, __version__)):
        return
    messages, values = (
        ClientStore.read(client).content.messages.client.take_home,
        {"brought": brought, "own": __version__},
    )
    if not is_newer(brought, __version__):
        print_wrapped(fill(messages.older_folder, values))
        return
    print_wrapped(fill(messages.newer_folder, values))
    program = installed_program()
    if program is not None:
        print_wrapped(fill(messages.renew, {"program": program}))
