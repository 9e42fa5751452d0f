"""Which columns of a table are the time, the acceleration and the turning rate, by their names."""

import re
from collections.abc import Sequence

from msgspec import Struct

ROLES = (
    "time",
    "acceleration x",
    "acceleration y",
    "acceleration z",
    "turning rate x",
    "turning rate y",
    "turning rate z",
)
EXPECTED = "a column of time, three of acceleration (x, y, z) and three of turning rate (x, y, z)"

_QUANTITIES = {
    "time": {"time", "t", "timestamp", "seconds", "elapsed", "clock", "epoch", "sampletime", "zeit", "zeitstempel"},
    "acceleration": {"a", "acc", "accel", "accelerometer", "acceleration", "beschleunigung"},
    "turning rate": {
        *("g", "w", "gyr", "gyro", "gyroscope", "rot", "rotation", "rotationrate", "angular", "omega", "turning"),
        *("drehrate", "winkelgeschwindigkeit", "gyroskop"),
    },
}
# A column with one of these words holds something else, such as acceleration from which gravity was taken away.
_OTHER = {"mag", "magnetometer", "compass", "linear", "user", "gravity", "quat", "quaternion", "element", "euler"}
_UNITS = {
    "s": "s", "sec": "s", "seconds": "s", "ms": "ms", "us": "us", "µs": "us", "μs": "us", "ns": "ns",
    "g": "g", "m/s2": "m/s2", "m/s²": "m/s2", "m/s^2": "m/s2", "ms2": "m/s2", "mg": "mg",
    "deg/s": "deg/s", "°/s": "deg/s", "dps": "deg/s", "rad/s": "rad/s",
}  # fmt: skip
_WORDS = re.compile(r"[A-Z]?[a-zµμ]+|[A-Z]+(?![a-z])|\d+")
_IN_BRACKETS = re.compile(r"[(\[{]([^)\]}]*)[)\]}]")
_SHORT = re.compile(r"(a|acc|accel|g|w|gyr|gyro|rot)_?([xyz])")


class Column(Struct, frozen=True):
    """A column of the table: its place, from 0, its name and the unit that the name says, if it says one."""

    index: int
    name: str
    unit: str | None = None


class UnknownColumns(ValueError):
    """Columns that could not be found: the roles that are missing."""

    def __init__(self, missing: Sequence[str], has_linear: bool = False) -> None:
        self.missing, self.has_linear = tuple(missing), has_linear
        super().__init__(", ".join(missing))


def unit_named(text: str) -> str | None:
    """A unit as it is written here, from any of its spellings; None if it is no unit of time or of a sensor."""
    return _UNITS.get(text.strip().lower().replace(" ", ""))


def columns_by_name(header: Sequence[str]) -> tuple[Column, ...]:
    """The columns in the order of ROLES; of several that fit, the first. Raises UnknownColumns."""
    found: dict[str, Column] = {}
    for index, name in enumerate(header):
        role = _role(name)
        if role is not None:
            found.setdefault(role, Column(index, name.strip(), _unit_in(name)))
    missing = [role for role in ROLES if role not in found]
    if missing:
        linear = any("linear" in name.lower() or "user" in name.lower() for name in header)
        raise UnknownColumns(missing, linear and any(one.startswith("acceleration") for one in missing))
    return tuple(found[role] for role in ROLES)


def columns_as_told(told: Sequence[str], header: Sequence[str]) -> tuple[Column, ...]:
    """The columns named by `told`, in the order of ROLES: names of the header, or numbers from 1.

    Raises UnknownColumns with what cannot be found.
    """
    names = [name.strip() for name in header]
    found: list[Column] = []
    for role, word in zip(ROLES, told, strict=True):
        if word in names:
            found.append(Column(names.index(word), word, _unit_in(word)))
        elif word.isdecimal() and 1 <= int(word) <= len(names):
            name = names[int(word) - 1]
            found.append(Column(int(word) - 1, name or word, _unit_in(name)))
        else:
            raise UnknownColumns([f"{role} ({word})"])
    return tuple(found)


def _role(name: str) -> str | None:
    """What a column holds, by its name; None for anything else."""
    bare = _IN_BRACKETS.sub("", name).strip()
    short = _SHORT.fullmatch(bare.lower())
    if short:
        return f"{'acceleration' if short[1].startswith('a') else 'turning rate'} {short[2]}"
    words = [word.lower() for word in _WORDS.findall(bare)]
    if not words or _OTHER & set(words):
        return None
    quantity = next((one for one, names in _QUANTITIES.items() if words[0] in names), None)
    if quantity == "time" or quantity is None:
        return quantity
    axis = next((word for word in words[1:] if word in ("x", "y", "z")), None)
    return f"{quantity} {axis}" if axis else None


def _unit_in(name: str) -> str | None:
    """The unit in brackets, or at the end of the name after the axis, such as gyro_x_deg_s."""
    bracketed = _IN_BRACKETS.search(name)
    if bracketed:
        return unit_named(bracketed[1])
    ends = {"_rad_s": "rad/s", "_deg_s": "deg/s", "_dps": "deg/s", "_m_s2": "m/s2", "_ms2": "m/s2", "_g": "g"}
    ends |= {"_ns": "ns", "_us": "us", "_ms": "ms", "_s": "s", "seconds_elapsed": "s"}
    return next((unit for end, unit in ends.items() if name.strip().lower().endswith(end)), None)
