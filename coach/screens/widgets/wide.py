"""When a window is wide enough for a list and its detail side by side, and the signs that drawings have in it."""

from typing import TypeVar

from textual.screen import Screen

from coach.model.option_names import SignSetName
from coach.screens.base_app import BaseApp
from coach.screens.terminal_signs import DEFAULT_SIGNS

ScreenResult = TypeVar("ScreenResult")

_WIDE = 110


def is_wide(screen: Screen[ScreenResult]) -> bool:
    """Whether there is room for two columns."""
    return screen.size.width >= _WIDE


def signs_of(screen: Screen[ScreenResult]) -> SignSetName:
    """The signs that the terminal draws."""
    return screen.app.signs if isinstance(screen.app, BaseApp) else DEFAULT_SIGNS
