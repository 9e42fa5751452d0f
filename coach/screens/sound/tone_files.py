"""The files from which a player reads the tones, in a folder that only the user can access."""

import os
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TypeVar

from coach.toml.atomic_write import make_folder, replace_bytes

Name = TypeVar("Name", bound=str)
_OWN = "steady-arc"


def write_tones(tones: Mapping[Name, bytes]) -> dict[Name, Path]:
    """Write each sound file and return its path by name.

    Raises:
        OSError: The folder belongs to another user, or cannot be written.
    """
    folder = private_folder(tone_folder(os.environ))
    files = {name: folder / f"{name}.wav" for name in tones}
    for name, file in files.items():
        replace_bytes(file, tones[name])
    return files


def private_folder(folder: Path) -> Path:
    """Make a folder that only the user can access. Raises OSError if it belongs to someone else."""
    make_folder(folder)
    if sys.platform != "win32" and folder.stat().st_uid != os.getuid():
        raise PermissionError(f"{folder} belongs to someone else")
    folder.chmod(0o700)
    return folder


def tone_folder(environment: Mapping[str, str]) -> Path:
    """The folder for the tones: in the user's runtime folder, else in the cache.

    Source: XDG Base Directory Specification 0.8.
    """
    runtime = environment.get("XDG_RUNTIME_DIR", "")
    if Path(runtime).is_absolute() and Path(runtime).is_dir():
        return Path(runtime) / _OWN
    return cache_folder(environment)


def cache_folder(environment: Mapping[str, str]) -> Path:
    """The folder of this program in the user's cache. Source: XDG Base Directory Specification 0.8."""
    cache = environment.get("XDG_CACHE_HOME", "")
    return (Path(cache) if Path(cache).is_absolute() else Path.home() / ".cache") / _OWN
