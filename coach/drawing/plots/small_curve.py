"""A curve in one row of text, a character for each value: for lists."""

from collections.abc import Sequence

from coach.model.option_names import SignSetName

# None fills its row: curves in neighbouring rows of a list stay apart.
_EIGHTHS = "▁▂▃▄▅▆"
_COARSE = "▄─▀"
_NOTHING = "·"
_DONE, _LEFT = "━", "╌"


def small_curve(values: Sequence[float | None], lowest: float, highest: float, signs: SignSetName) -> str:
    """The values on a scale from `lowest` to `highest`, which is above it; a dot where there is none."""
    levels = _COARSE if signs == "halves" else _EIGHTHS
    last = len(levels) - 1
    return "".join(_NOTHING if value is None else levels[_level(value, lowest, highest, last)] for value in values)


def _level(value: float, lowest: float, highest: float, last: int) -> int:
    return min(max(round((value - lowest) / (highest - lowest) * last), 0), last)


def small_bar(share: float, columns: int) -> str:
    """A share from 0 to 1 as a thick line, and a thin broken one for the rest."""
    done = round(min(max(share, 0.0), 1.0) * columns)
    return _DONE * done + _LEFT * (columns - done)
