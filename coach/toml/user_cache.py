"""The folder of this program in the user's cache: everything in it is derived and may be deleted."""

from collections.abc import Mapping
from pathlib import Path

from coach.system import is_own
from coach.toml.atomic_write import make_folder

OWN_FOLDER = "steady-arc"


def cache_folder(environment: Mapping[str, str]) -> Path:
    """The folder of this program in the user's cache. Source: XDG Base Directory Specification 0.8."""
    cache = environment.get("XDG_CACHE_HOME", "")
    return (Path(cache) if Path(cache).is_absolute() else Path.home() / ".cache") / OWN_FOLDER


def private_folder(folder: Path) -> Path:
    """Make a folder that only the user can access. Raises OSError if it belongs to someone else."""
    make_folder(folder)
    if not is_own(folder.stat()):
        raise PermissionError(f"{folder} belongs to someone else")
    folder.chmod(0o700)
    return folder
