"""The colours: mood only. Every meaning is said in words and shapes as well."""

from textual.theme import Theme

DUSK = Theme(
    name="dusk",
    dark=True,
    primary="#9cc3b5",
    secondary="#c9b68c",
    accent="#c9b68c",
    warning="#e0b070",
    error="#e8998d",
    success="#9cc3b5",
    foreground="#e4e7e1",
    background="#141a19",
    surface="#141a19",
    panel="#1d2624",
)
