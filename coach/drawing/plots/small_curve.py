"""A curve in one row of text, a character for each value: for lists."""

from collections.abc import Sequence

from coach.model.option_names import SignSetName

_EIGHTHS = "▁▂▃▄▅▆▇█"
_COARSE = "─▄█"
_NOTHING = "·"
_DONE, _LEFT = "━", "╌"


def small_curve(values: Sequence[float | None], highest: float, signs: SignSetName) -> str:
    """The values on a scale from 0 to `highest`, which is above 0; a dot where there is none."""
    levels = _COARSE if signs == "halves" else _EIGHTHS
    last = len(levels) - 1
    return "".join(
        _NOTHING if value is None else levels[min(max(round(value / highest * last), 0), last)] for value in values
    )


def small_bar(share: float, columns: int) -> str:
    """A share from 0 to 1 as a thick line, and a thin broken one for the rest."""
    done = round(min(max(share, 0.0), 1.0) * columns)
    return _DONE * done + _LEFT * (columns - done)
