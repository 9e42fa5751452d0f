"""The files from which a player reads the tones, in a folder that only the user can access."""

import os
from collections.abc import Mapping
from pathlib import Path
from typing import TypeVar

from coach.toml.atomic_write import replace_bytes
from coach.toml.user_cache import OWN_FOLDER, cache_folder, private_folder

Name = TypeVar("Name", bound=str)


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


def tone_folder(environment: Mapping[str, str]) -> Path:
    """The folder for the tones: in the user's runtime folder, else in the cache.

    Source: XDG Base Directory Specification 0.8.
    """
    runtime = environment.get("XDG_RUNTIME_DIR", "")
    if Path(runtime).is_absolute() and Path(runtime).is_dir():
        return Path(runtime) / OWN_FOLDER
    return cache_folder(environment)
