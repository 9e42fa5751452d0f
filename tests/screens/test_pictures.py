"""The chosen pictures are few, and show every widget, page and theme of the package."""

import importlib
import pkgutil
from pathlib import Path

from textual.screen import Screen
from textual.widget import Widget

from coach import screens
from coach.screens.theme import THEMES
from tests.screens.pictures import MOST_PICTURES, PICTURES


def _widgets() -> set[type[Widget]]:
    """Every widget and page that a module of the package defines; of a class with subclasses, those."""
    found = set()
    for module in pkgutil.walk_packages(screens.__path__, f"{screens.__name__}."):
        names = vars(importlib.import_module(module.name)).values()
        found |= {one for one in names if isinstance(one, type) and issubclass(one, Widget)}
    ours = {one for one in found if one.__module__.startswith(screens.__name__)}
    return {one for one in ours if not any(one in other.__mro__[1:] for other in ours)}


def test_every_widget_page_and_theme_is_on_a_picture() -> None:
    assert {widget for picture in PICTURES for widget in picture.widgets} >= _widgets()
    assert {picture.theme for picture in PICTURES} == {*THEMES, None}
    assert any(issubclass(widget, Screen) for widget in _widgets())


def test_there_are_few_pictures_and_each_is_in_the_table() -> None:
    kept = sorted(path.stem.rpartition("[")[2] for path in Path(__file__).parent.rglob("*.svg"))
    assert kept == sorted(f"{picture.name}]" for picture in PICTURES)
    assert len(PICTURES) <= MOST_PICTURES
