"""`coach backup` and `coach restore`: clients in one file, and back."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.arguments import Commands, add_command, add_target
from coach.commands.support.loading import therapist_content
from coach.commands.support.output import print_result, write_file

if TYPE_CHECKING:
    from coach.model.messages.therapist_reports import BackupMessages
    from coach.store.backup import Holding


def add_commands(commands: Commands) -> None:
    """Add backup and restore."""
    backup = add_command(
        commands,
        "backup",
        _backup,
        "back up one client, or a folder of clients",
        "Writes a new ZIP file with a hash of each file. It is not encrypted: keep it "
        "where health data may be stored.",
        ("coach backup demo_profiles/heron --to heron.zip", "coach backup demo_profiles --to clients.zip"),
        client=False,
    )
    backup.add_argument("folder", type=Path, metavar="FOLDER", help="a client's folder, or a folder of clients")
    add_target(backup, "FILE.zip")
    restore = add_command(
        commands,
        "restore",
        _restore,
        "restore a backup into a new folder",
        "Every file is compared with its hash before anything is written. A backup is "
        "restored as a whole or not at all.",
        ("coach backup demo_profiles --to clients.zip", "coach restore clients.zip --to restored"),
        client=False,
    )
    restore.add_argument("file", type=Path, metavar="FILE.zip", help="a file written by coach backup")
    add_target(restore, "FOLDER", "the new folder to restore into")


def _backup(arguments: argparse.Namespace) -> int:
    from coach.store.backup import gather, holding, pack
    from coach.toml.new_file import refuse_existing

    refuse_existing(arguments.to)
    messages, members = _messages(), gather(arguments.folder)
    _print_summary(holding(one.name for one in members), messages)
    return write_file(arguments.to, pack(members), messages.written)


def _restore(arguments: argparse.Namespace) -> int:
    from coach.model.message_format import fill
    from coach.store.backup import holding
    from coach.store.restore import contents, restore

    messages = _messages()
    _print_summary(holding(contents(arguments.file)), messages)
    restore(arguments.file, arguments.to)
    return print_result(fill(messages.restored, {"folder": arguments.to}))


def _print_summary(holds: "Holding", messages: "BackupMessages") -> None:
    """Print what the backup holds, before anything is written."""
    from coach.model.message_format import fill

    print(fill(messages.holds, {"clients": len(holds.sessions), "files": holds.files}))
    for client, sessions in holds.sessions.items():
        print(f"  {fill(messages.client, {'client': client, 'sessions': sessions})}")
    print(messages.health, flush=True)


def _messages() -> "BackupMessages":
    return therapist_content().messages.therapist.backup
