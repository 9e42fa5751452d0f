"""settings.toml: what was chosen by a key on this client's machine, next to profile.toml."""

from pathlib import Path
from typing import Literal

from coach.frozen import Field
from coach.model.base import Frozen
from coach.model.option_names import TellBy
from coach.store.client_paths import SETTINGS
from coach.toml.atomic_write import replace_file
from coach.toml.diagnostic import FileFault
from coach.toml.reader import is_there, read_model
from coach.toml.writer import dump


class HomeSettings(Frozen):
    """What the client chose; without a choice what the profile says holds."""

    format: Literal[1] = 1
    voice: bool | None = Field(default=None, description="whether the session is said as well as shown")
    tell_by: TellBy | None = Field(
        default=None,
        description="how the client tells what the form was: by a hand, in a mirror, watched by somebody",
    )


def read_settings(path: Path) -> HomeSettings:
    """The settings of a client's home; the defaults where there are none. Raises FileFault."""
    file = path / SETTINGS
    return read_model(file, HomeSettings) if is_there(file) else HomeSettings()


def settings_in_use(path: Path) -> HomeSettings:
    """The settings, or the defaults where they cannot be read; `coach check` reports that, and no session stops."""
    try:
        return read_settings(path)
    except FileFault:
        return HomeSettings()


def save_settings(path: Path, settings: HomeSettings) -> None:
    """Replace settings.toml, completely or not at all. Raises OSError."""
    comment = "What was chosen at home by a key of the session. Without this file the profile decides."
    replace_file(path / SETTINGS, dump(settings.model_dump(exclude_none=True), comment))


def keep_choice(path: Path, **chosen: object) -> None:
    """Keep a choice beside the others. Raises OSError."""
    kept = settings_in_use(path).model_dump() | chosen
    save_settings(path, HomeSettings.model_validate(kept))
