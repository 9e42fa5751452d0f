"""The units of a recording, by what the names of its columns say and by its values, which must not disagree."""

import math
from collections.abc import Mapping, Sequence

import numpy as np
from msgspec import Struct

from coach.motion_capture.results import Array

GRAVITY_M_S2 = 9.80665
"""Standard acceleration of free fall: 3rd General Conference on Weights and Measures, 1901."""


class Quantity(Struct, frozen=True):
    """What a kind of column measures: its units as multiples of the SI unit, and the values that can be."""

    name: str
    units: Mapping[str, float]
    possible: tuple[float, float]

    def fitting(self, value: float, wider: float = 1.0) -> tuple[str, ...]:
        """The units in which this value can be, in bounds that are wider by a factor."""
        low, high = self.possible
        return tuple(unit for unit, scale in self.units.items() if low / wider <= value * scale <= high * wider)


# Between two rows: 5 to 500 rows a second; the units are a thousandfold apart, so no more than one of them fits.
TIME = Quantity("time", {"s": 1.0, "ms": 1e-3, "us": 1e-6, "ns": 1e-9}, (0.002, 0.2))
# The median of a recording, most of which is slow: near gravity.
ACCELERATION = Quantity(
    "acceleration",
    {"m/s2": 1.0, "g": GRAVITY_M_S2, "mg": GRAVITY_M_S2 / 1000},
    (0.7 * GRAVITY_M_S2, 1.5 * GRAVITY_M_S2),
)
# The fastest of a recording with movement: from 11 to 690 degrees a second; no repetition against a band is faster.
TURNING = Quantity("turning rate", {"rad/s": 1.0, "deg/s": math.radians(1)}, (0.2, 12.0))
QUANTITIES = (TIME, ACCELERATION, TURNING)

WITH_GRAVITY = (
    "export the acceleration with gravity in it, often called accelerometer, not linear or user acceleration"
)
_NO_GRAVITY_M_S2 = 0.3
_FASTEST_PERCENTILE = 99.9
_WIDER_IF_SAID = 2.0


class UnclearUnit(ValueError):
    """A unit that the values contradict, or that neither names nor values tell."""

    def __init__(self, what: str, fix: str) -> None:
        self.fix = fix
        super().__init__(what)


def units_of(time: Array, acceleration: Array, turning: Array, said: Sequence[str | None]) -> tuple[str, str, str]:
    """The units of time, acceleration and turning rate; `said` are those that names or options say.

    Raises UnclearUnit.
    """
    step = float(np.median(np.diff(time)))
    gravity = float(np.median(np.linalg.norm(acceleration, axis=1)))
    fast = float(np.percentile(np.linalg.norm(turning, axis=1), _FASTEST_PERCENTILE))
    if gravity < _NO_GRAVITY_M_S2 and "g" not in ACCELERATION.fitting(gravity):
        what = f"the acceleration is {gravity:.3g} most of the time: gravity has been taken away"
        raise UnclearUnit(what, WITH_GRAVITY)
    return (
        _agreed(TIME, step, said[0], f"two rows are {step:g} apart"),
        _agreed(ACCELERATION, gravity, said[1], f"the acceleration is {gravity:.3g} most of the time"),
        _agreed(TURNING, fast, said[2], f"the turning rate reaches {fast:.3g}"),
    )


def _agreed(quantity: Quantity, value: float, said: str | None, seen: str) -> str:
    """The unit that was said, if the values allow it; where none was said, the first that fits."""
    fitting = quantity.fitting(value)
    if said is not None and said in quantity.fitting(value, _WIDER_IF_SAID):
        return said
    if said is not None:
        other = f", which would fit {fitting[0]}" if fitting else ""
        fix = "look at the table; where its names are wrong, say the units with --units, such as --units s,g,deg/s"
        raise UnclearUnit(f"the {quantity.name} is said to be in {said}, but {seen}{other}", fix)
    if fitting:
        return fitting[0]
    raise UnclearUnit(f"{seen}, which fits no unit of {quantity.name}", "measure again, or look at the table")
