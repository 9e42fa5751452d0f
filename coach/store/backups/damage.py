"""What is wrong with the files of a client that are backed up: a backup holds them as they are."""

from pathlib import Path

from coach.store.client_folder import read_client_folder
from coach.toml.diagnostic import Diagnostic, FileFault


def damage_of(client: Path) -> tuple[Diagnostic, ...]:
    """What a restored copy of this client would lack: what cannot be read, and what is damaged or missing."""
    try:
        folder = read_client_folder(client)
    except FileFault as fault:
        return tuple(fault.faults)
    damaged = {raw.path for raw in folder.damaged}
    return tuple(one for one in folder.notices if one.path in damaged)
