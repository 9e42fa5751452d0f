"""The home's own settings: read with the session, and written when the client chooses."""

from pathlib import Path

from coach.model.home_settings import HomeSettings
from coach.store.client_paths import SETTINGS
from coach.toml.atomic_write import replace_file
from coach.toml.reader import read_model
from coach.toml.writer import dump


def read_settings(path: Path) -> HomeSettings:
    """The settings of a client's home; the defaults where there are none. Raises FileFault."""
    file = path / SETTINGS
    return read_model(file, HomeSettings) if file.exists() else HomeSettings()


def save_settings(path: Path, settings: HomeSettings) -> None:
    """Replace settings.toml, completely or not at all. Raises OSError."""
    comment = "What was chosen at home by a key of the session. Without this file the profile decides."
    replace_file(path / SETTINGS, dump(settings.model_dump(exclude_none=True), comment))
