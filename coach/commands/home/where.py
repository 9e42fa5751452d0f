"""`coach where`: which folder holds the clients of this computer."""

import argparse
from pathlib import Path

from coach.commands.support.arguments import Commands, add_command
from coach.commands.support.loading import therapist_content
from coach.commands.support.output import FINE, print_result


def add_commands(commands: Commands) -> None:
    """Add where."""
    where = add_command(
        commands,
        "where",
        _where,
        "In a clinic, name the folder of all clients once: then `coach` alone opens its caseload, and each command "
        "takes a client's name in place of the path. At home nothing needs to be named: `coach` alone opens today's "
        "session.",
        ("coach where demo_profiles", "coach where", "coach history heron"),
        client=False,
    )
    where.add_argument(
        "folder", type=Path, nargs="?", metavar="FOLDER", help="the folder of all clients (default: say which it is)"
    )


def _where(arguments: argparse.Namespace) -> int:
    from coach.model.message_format import fill
    from coach.store.client_paths import is_client
    from coach.store.home.places import clients_at_home, home_folder, name_folder, named_folder, where_path
    from coach.toml.diagnostic import FileFault, whole_file

    messages, folder = therapist_content().messages.therapist.where, arguments.folder
    if folder is not None:
        if not folder.is_dir() or is_client(folder):
            what = "this is one client" if folder.is_dir() else "there is no such folder"
            raise FileFault([whole_file(folder, what, "the folder that holds the folders of all clients")])
        name_folder(folder)
    named, at_home = named_folder(), clients_at_home()
    if named is not None:
        print_result(fill(messages.named, {"folder": named, "file": where_path()}))
    if named is None or at_home:
        names = ", ".join(at_home) or messages.none
        print_result(fill(messages.at_home, {"folder": home_folder(), "clients": names}))
    return FINE
