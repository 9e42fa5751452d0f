"""Contrast of two colours.

W3C, Web Content Accessibility Guidelines (WCAG) 2.2, W3C Recommendation, 5 October 2023: the definitions of
"contrast ratio" and "relative luminance"; success criteria 1.4.3 Contrast (Minimum), level AA, 4.5 to 1,
and 1.4.6 Contrast (Enhanced), level AAA, 7 to 1. https://www.w3.org/TR/WCAG22/
"""

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
