"""The folder of this program in the user's cache: everything in it is derived and may be deleted."""

from collections.abc import Mapping
from pathlib import Path

from coach.system import is_own, user_cache
from coach.toml.atomic_write import make_folder

OWN_FOLDER = "steady-arc"


def cache_folder(environment: Mapping[str, str]) -> Path:
    """The folder of this program in the user's cache."""
    return user_cache(environment, OWN_FOLDER)


def private_folder(folder: Path) -> Path:
    """Make a folder that only the user can access. Raises OSError if it belongs to someone else."""
    make_folder(folder)
    if not is_own(folder.stat()):
        raise PermissionError(f"{folder} belongs to someone else")
    folder.chmod(0o700)
    return folder
