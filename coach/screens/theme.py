"""Colour themes. No meaning is carried by colour alone: words and shapes carry it too.

The contrast of text with its background is at least 4.5 to 1, in the theme `contrast` at least 7 to 1: W3C, Web
Content Accessibility Guidelines (WCAG) 2.2, success criteria 1.4.3 and 1.4.6.
"""

from collections.abc import Mapping
from types import MappingProxyType

from textual.theme import Theme

from coach.model.option_names import ThemeName

# Each theme: title and bar, lists and bands, alerts, text, background, background of the keys.
_COLOURS: Mapping[ThemeName, tuple[str, str, str, str, str, str]] = MappingProxyType(
    {
        "dusk": ("#9cc3b5", "#cdbb92", "#e8998d", "#e4e7e1", "#141a19", "#1d2624"),
        "day": ("#1f5c4d", "#6b5212", "#9a2a1f", "#1e2624", "#f6f4ee", "#e8e5db"),
        "contrast": ("#ffffff", "#ffe066", "#ffb3a7", "#ffffff", "#000000", "#000000"),
    }
)


def _theme(name: ThemeName) -> Theme:
    title, lists, alert, text, ground, keys = _COLOURS[name]
    return Theme(
        name=name,
        dark=name != "day",
        primary=title,
        secondary=lists,
        accent=lists,
        warning=lists,
        error=alert,
        success=title,
        foreground=text,
        background=ground,
        surface=ground,
        panel=keys,
    )


THEMES: Mapping[ThemeName, Theme] = MappingProxyType({name: _theme(name) for name in _COLOURS})


def next_theme(name: str) -> str:
    """The theme after this one; the first after the last, or if there is none of this name."""
    names: list[str] = list(THEMES)
    return names[(names.index(name) + 1) % len(names)] if name in names else names[0]
