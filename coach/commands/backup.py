"""What keeps clients safe from a lost machine: a backup in one file, and taking it back."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.arguments import add_target, declare
from coach.commands.support.loading import therapists_content
from coach.commands.support.output import tell, written

if TYPE_CHECKING:
    from coach.model.messages.backup import BackupWords
    from coach.store.backup import Holding


def declare_all(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """backup, restore."""
    backup = declare(
        commands,
        "backup",
        _backup,
        "put one client, or all of a folder, into one new file",
        "A ZIP file with the hash of each file in it. It is not encrypted: keep it where\nhealth data may lie.",
        ("coach backup demo_profiles/heron --to heron.zip", "coach backup demo_profiles --to clients.zip"),
        client=False,
    )
    backup.add_argument("folder", type=Path, metavar="FOLDER", help="a client's folder, or a folder of clients")
    add_target(backup, "FILE.zip")
    restore = declare(
        commands,
        "restore",
        _restore,
        "take a backup back into a new folder, whole or not at all",
        "Each file is checked against its hash before anything is written.",
        ("coach backup demo_profiles --to clients.zip", "coach restore clients.zip --to restored"),
        client=False,
    )
    restore.add_argument("file", type=Path, metavar="FILE.zip", help="what coach backup wrote")
    add_target(restore, "FOLDER", "a new folder to make")


def _backup(chosen: argparse.Namespace) -> int:
    from coach.store.backup import gather, holding, pack
    from coach.toml.new_file import refuse_existing

    refuse_existing(chosen.to)
    words, members = _words(), gather(chosen.folder)
    _say_what(holding(one.name for one in members), words)
    return written(chosen.to, pack(members), words.written)


def _restore(chosen: argparse.Namespace) -> int:
    from coach.model.message_format import fill
    from coach.store.backup import holding
    from coach.store.restore import contents, restore

    words = _words()
    _say_what(holding(contents(chosen.file)), words)
    restore(chosen.file, chosen.to)
    return tell(fill(words.restored, {"folder": chosen.to}))


def _say_what(holds: "Holding", words: "BackupWords") -> None:
    """Before anything is written."""
    from coach.model.message_format import fill

    print(fill(words.holds, {"clients": len(holds.sessions), "files": holds.files}))
    for client, sessions in holds.sessions.items():
        print(f"  {fill(words.client, {'client': client, 'sessions': sessions})}")
    print(words.health, flush=True)


def _words() -> "BackupWords":
    from coach.model.messages.backup import BackupWords

    return therapists_content().words.of(BackupWords)
