"""The angular size of letters in a terminal, seen from where the client stands."""

import math
from dataclasses import dataclass

# A 14-inch screen with an aspect ratio of 16 to 9, filled by the terminal.
DIAGONAL_M, WIDE, HIGH = 14 * 0.0254, 16, 9
AWAY_M = 3.0
# Minutes of arc: the least that can be read, and what is comfortable. ISO 9241-303, from memory.
LEAST_MIN, COMFORTABLE_MIN = 16.0, 22.0


@dataclass(frozen=True)
class AngularSize:
    """The height and width of a letter in minutes of arc."""

    high_min: float
    wide_min: float


def angular_size(
    rows_of_letter: int, columns_of_letter: int, columns: int, rows: int, away_m: float = AWAY_M
) -> AngularSize:
    """The size of a letter of some cells in a terminal of so many columns and rows that fills the screen."""
    height_m = DIAGONAL_M * HIGH / math.hypot(WIDE, HIGH) * rows_of_letter / rows
    width_m = DIAGONAL_M * WIDE / math.hypot(WIDE, HIGH) * columns_of_letter / columns
    return AngularSize(_minutes(height_m / away_m), _minutes(width_m / away_m))


def _minutes(tangent: float) -> float:
    return math.degrees(math.atan(tangent)) * 60
