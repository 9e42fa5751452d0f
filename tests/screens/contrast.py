"""Contrast of two colours.

W3C, Web Content Accessibility Guidelines (WCAG) 2.2, W3C Recommendation, 5 October 2023: the definitions of
"contrast ratio" and "relative luminance"; success criteria 1.4.3 Contrast (Minimum), level AA, 4.5 to 1,
and 1.4.6 Contrast (Enhanced), level AAA, 7 to 1. https://www.w3.org/TR/WCAG22/
"""

from functools import lru_cache
from operator import mul

Colour = tuple[int, int, int]
AA, AAA = 4.5, 7.0


def luminance(colour: Colour) -> float:
    """Relative luminance, 0 for black to 1 for white."""
    parts = [part / 255 for part in colour]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: Colour, other: Colour) -> float:
    """From 1 for equal colours to 21 for black on white."""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


# Colours as they are seen without the red or the green cones, in linear light. Machado GM, Oliveira MM,
# Fernandes LAF: A physiologically-based model for simulation of color vision deficiency. IEEE Trans Vis Comput Graph
# 2009;15(6):1291-1298, severity 1.0; the numbers as several public copies of the authors' table have them.
VISIONS: dict[str, tuple[tuple[float, float, float], ...]] = {
    "protanopia": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deuteranopia": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    # Without any cones: the luminance of WCAG for each part.
    "greyscale": ((0.2126, 0.7152, 0.0722),) * 3,
}


@lru_cache(maxsize=4096)
def seen(colour: Colour, vision: str) -> Colour:
    """A colour as it is seen with one of VISIONS."""
    parts = [part / 255 for part in colour]
    light = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    mixed = (min(max(sum(map(mul, row, light)), 0.0), 1.0) for row in VISIONS[vision])
    red, green, blue = (12.92 * part if part <= 0.0031308 else 1.055 * part ** (1 / 2.4) - 0.055 for part in mixed)
    return round(255 * red), round(255 * green), round(255 * blue)


@lru_cache(maxsize=4096)
def least_contrast(one: Colour, other: Colour) -> float:
    """The contrast of two colours for whoever sees it least."""
    return min(contrast(one, other), *(contrast(seen(one, vision), seen(other, vision)) for vision in VISIONS))
