"""settings.toml: what was chosen on this client's machine, next to profile.toml."""

from typing import Literal

from pydantic import Field

from coach.model.base import Frozen


class HomeSettings(Frozen):
    """What the client chose by a key; without a choice what the profile says holds."""

    format: Literal[1] = 1
    voice: bool | None = Field(default=None, description="whether the session is said as well as shown")
