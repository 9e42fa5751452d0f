"""`coach backup` and `coach restore`: clients in one file, and back."""

import argparse
from contextlib import ExitStack, closing
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.exchange.passphrase import add_passphrase, known_passphrase, new_passphrase
from coach.commands.support.arguments import Commands, add_command, add_target, client_path
from coach.commands.support.loading import therapist_content
from coach.commands.support.output import FAULTS, FINE, print_error, print_result
from coach.commands.support.progress_bar import counted, progress_bar, uninterrupted_removal

if TYPE_CHECKING:
    from collections.abc import Iterable
    from typing import BinaryIO

    from coach.model.messages.therapist_reports import BackupMessages, WorkingMessages
    from coach.store.backups.backup import Holding, Member
    from coach.toml.diagnostic import Diagnostic


def add_commands(commands: Commands) -> None:
    """Add backup and restore."""
    backup = add_command(
        commands,
        "backup",
        _backup,
        "Writes a new ZIP file with a hash of each file. It is not encrypted: keep it "
        "where health data may be stored. With --sealed it is, by a passphrase that is asked for twice; without that "
        "passphrase nobody can open it. A file that cannot be backed up, such as a link, "
        "is named and left out, and the exit code is then 1. So it is where files are damaged or missing: the backup "
        "holds what is there.",
        (
            "coach backup demo_profiles/heron --to heron.zip",
            "coach backup demo_profiles --to clients.zip",
            "coach backup demo_profiles --sealed --to clients.sealed",
        ),
        client=False,
    )
    backup.add_argument(
        "folder", type=client_path, metavar="FOLDER", help="a client's folder or name, or a folder of clients"
    )
    backup.add_argument("--sealed", action="store_true", help="encrypt it with a passphrase")
    add_passphrase(backup)
    add_target(backup)
    restore = add_command(
        commands,
        "restore",
        _restore,
        "Every file is compared with its hash before anything is written. A backup is "
        "restored as a whole or not at all. The passphrase of a sealed one is asked for.",
        ("coach backup demo_profiles --to clients.zip", "coach restore clients.zip --to restored"),
        client=False,
    )
    restore.add_argument("file", type=Path, metavar="FILE", help="a file written by coach backup")
    add_passphrase(restore)
    add_target(restore, "FOLDER", "the new folder to restore into")


def _backup(arguments: argparse.Namespace) -> int:
    from coach.model.message_format import fill
    from coach.store.backups.backup import find, holding, pack, read_members
    from coach.toml.diagnostic import render
    from coach.toml.new_file import new_file, refuse_existing

    refuse_existing(arguments.to)
    content, left_out = therapist_content().messages.therapist, list["Diagnostic"]()
    with progress_bar(content.working.reading) as show:
        holds = holding(one.name for one in find(arguments.folder, show) if one.fault is None)
    sealed = arguments.sealed or arguments.passphrase_file is not None
    _print_summary(holds, content.backup, content.backup.sealed if sealed else content.backup.health)
    passphrase = new_passphrase(arguments.passphrase_file, content.backup) if sealed else None
    with new_file(arguments.to) as file, progress_bar(content.working.backing_up) as show:
        members = counted(read_members(find(arguments.folder), left_out), holds.files, show)
        if passphrase is None:
            pack(members, file, arguments.to.parent)
        else:
            _pack_sealed(members, file, passphrase)
    for fault in left_out:
        print_error(f"{render(fault)}\n", FAULTS)
    damage = _damage(arguments.folder, list(holds.sessions), content.working)
    for fault in damage:
        print_error(f"{render(fault)}\n", FAULTS)
    print_result(fill(content.backup.written, {"file": arguments.to}))
    if damage:
        print_error(fill(content.backup.damaged, {"count": len(damage)}), FAULTS)
    if left_out:
        print_error(fill(content.backup.left_out, {"count": len(left_out)}), FAULTS)
    return FAULTS if left_out or damage else FINE


def _damage(folder: Path, names: list[str], working: "WorkingMessages") -> "list[Diagnostic]":
    """What is wrong with the files that were backed up."""
    from coach.store.backups.damage import damage_of
    from coach.store.client_paths import is_client
    from coach.store.client_pool import for_clients

    within, clients = (folder.resolve().parent, [folder.resolve().name]) if is_client(folder) else (folder, names)
    found = list["Diagnostic"]()
    with progress_bar(working.checking) as show, closing(for_clients(within, clients, damage_of)) as each:
        for number, faults in enumerate(each, start=1):
            found += faults
            show(number, len(clients))
    return found


def _pack_sealed(members: "Iterable[Member]", file: "BinaryIO", passphrase: str) -> None:
    """Temporary files with names and hashes stay on this computer: the sealed file may go to a memory stick."""
    from coach.exchange.sealed_backup import SealingFile
    from coach.store.backups.backup import pack

    sealing = SealingFile(file, passphrase)
    pack(members, sealing)
    sealing.finish()


def _restore(arguments: argparse.Namespace) -> int:
    from coach.exchange.sealed_backup import unsealed
    from coach.model.message_format import fill
    from coach.store.backups.restore import restore
    from coach.toml.new_file import refuse_existing

    refuse_existing(arguments.to)
    content = therapist_content().messages.therapist
    opened = unsealed(arguments.file, lambda: known_passphrase(arguments.passphrase_file, content.backup))
    with uninterrupted_removal(content.working.stopping), ExitStack() as bar:
        show = [bar.enter_context(progress_bar(content.working.restoring))]

        def on_holding(found: "Holding") -> None:
            bar.close()  # it would be in the way of the lines
            _print_summary(found, content.backup, content.backup.health)
            show[0] = bar.enter_context(progress_bar(content.working.restoring))

        restore(arguments.file, arguments.to, on_holding, lambda done, files: show[0](done, files), opened)
    return print_result(fill(content.backup.restored, {"folder": arguments.to}))


def _print_summary(holds: "Holding", messages: "BackupMessages", kept_where: str) -> None:
    """Print what the backup holds, before anything is written."""
    from coach.model.message_format import fill
    from coach.toml.diagnostic import printable

    print(fill(messages.holds, {"clients": len(holds.sessions), "files": holds.files}))
    for client, sessions in holds.sessions.items():
        print(f"  {fill(messages.client, {'client': printable(client), 'sessions': sessions})}")
    print(kept_where, flush=True)
