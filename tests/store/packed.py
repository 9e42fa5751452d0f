"""Backups as bytes, for tests that spoil them."""

import io
from collections.abc import Iterable
from pathlib import Path

from coach.store.backups.backup import Member, find, pack, read_members
from coach.toml.diagnostic import Diagnostic


def packed(members: Iterable[Member]) -> bytes:
    """A backup of these files."""
    out = io.BytesIO()
    pack(members, out)
    return out.getvalue()


def gathered(folder: Path) -> tuple[Member, ...]:
    """Every file of a client or of a folder of clients, none of which is left out."""
    left_out: list[Diagnostic] = []
    members = tuple(read_members(find(folder), left_out))
    assert left_out == []
    return members
