"""`coach upgrade`: clients of an older format move to that of programmes."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.arguments import Commands, add_command, client_path
from coach.commands.support.loading import therapist_content
from coach.commands.support.output import FAULTS, FINE, print_error, print_result

if TYPE_CHECKING:
    from coach.model.messages.several_exercises import UpgradeMessages


def add_commands(commands: Commands) -> None:
    """Add upgrade."""
    command = add_command(
        commands,
        "upgrade",
        _upgrade,
        "Shows what would be written, and writes it with --write. The prescription becomes a programme of one "
        "exercise, and each instruction a file of its own. Records stay as they are, and every decision stays as it "
        "was told. What is replaced is kept in the folder before_format_2. A session or an instruction does the same "
        "for its client by itself.",
        ("coach upgrade demo_profiles", "coach upgrade demo_profiles/heron --write"),
        client=False,
    )
    command.add_argument(
        "folder", type=client_path, metavar="FOLDER", help="a client's folder or name, or a folder of clients"
    )
    command.add_argument("--write", action="store_true", help="write it")


def _upgrade(arguments: argparse.Namespace) -> int:
    from coach.store.client_folder import require_profile
    from coach.store.client_paths import clients_in, is_client
    from coach.toml.diagnostic import FileFault

    folder = arguments.folder
    require_profile(folder)
    clients = [folder] if is_client(folder) else [folder / name for name in clients_in(folder)]
    messages, faults = therapist_content().messages.therapist.upgrade, 0
    for client in clients:
        try:
            print_result(_upgraded(client, arguments.write, messages))
        except FileFault as fault:
            faults += 1
            print_error(str(fault), FAULTS)
    if not arguments.write:
        print_result(messages.how_to_write)
    return FAULTS if faults else FINE


def _upgraded(client: Path, write: bool, messages: "UpgradeMessages") -> str:
    """What was done for a client, or what would be."""
    from coach.model.message_format import fill
    from coach.store.lock import InUse, lock
    from coach.store.programme.upgrade import planned_upgrade, upgrade

    planned = planned_upgrade(client)
    if planned is None:
        return fill(messages.is_new, {"client": client.name})
    files = ", ".join(str(file.relative_to(client)) for file in planned.files)
    if write:
        try:
            with lock(client):
                upgrade(client)
        except InUse as in_use:
            return str(in_use)
    return fill(messages.written if write else messages.would_write, {"client": client.name, "files": files})
