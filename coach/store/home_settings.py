"""settings.toml: what was chosen by a key on this client's machine, next to profile.toml."""

from pathlib import Path
from typing import Literal

from pydantic import Field

from coach.model.base import Frozen
from coach.store.client_paths import SETTINGS
from coach.toml.atomic_write import replace_file
from coach.toml.reader import read_model
from coach.toml.writer import dump


class HomeSettings(Frozen):
    """What the client chose; without a choice what the profile says holds."""

    format: Literal[1] = 1
    voice: bool | None = Field(default=None, description="whether the session is said as well as shown")


def read_settings(path: Path) -> HomeSettings:
    """The settings of a client's home; the defaults where there are none. Raises FileFault."""
    file = path / SETTINGS
    return read_model(file, HomeSettings) if file.exists() else HomeSettings()


def save_settings(path: Path, settings: HomeSettings) -> None:
    """Replace settings.toml, completely or not at all. Raises OSError."""
    comment = "What was chosen at home by a key of the session. Without this file the profile decides."
    replace_file(path / SETTINGS, dump(settings.model_dump(exclude_none=True), comment))
