"""One value as people write it: lengths, masses, forces, sides, dates, numbers with a decimal comma.

A key's ending says in which unit its number is kept (`stature_m`, `force_n`). A text that can mean two values is
`Unclear`: it is refused with the reason, and never taken for one of them.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from coach.toml.expected import Expected, describe

DateOrder = Literal["day first", "month first"]

# By international agreement of 1959 and by definition: pound 0.45359237 kg, foot 0.3048 m, standard gravity 9.80665.
_FOOT_M, _INCH_M, _POUND_KG, _GRAVITY = 0.3048, 0.0254, 0.45359237, 9.80665
_POUNDS_OF_A_STONE = 14
_INCHES = ("in", "inch", "inches", '"', "″", "”", "zoll")
_FEET = ("ft", "foot", "feet", "'", "′", "’")
_METRES = ("m", "metre", "metres", "meter", "meters")
_LENGTHS_M: Mapping[str, float] = {
    **dict.fromkeys(_METRES, 1.0),
    "cm": 0.01,
    "mm": 0.001,
    **dict.fromkeys(_INCHES, _INCH_M),
    **dict.fromkeys(_FEET, _FOOT_M),
}
_MASSES_KG: Mapping[str, float] = {
    **dict.fromkeys(("kg", "kilo", "kilos"), 1.0),
    "g": 0.001,
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), _POUND_KG),
    "st": _POUND_KG * _POUNDS_OF_A_STONE,
}
_FORCES_N: Mapping[str, float] = {
    **dict.fromkeys(("n", "newton", "newtons"), 1.0),
    **{unit: kilograms * _GRAVITY for unit, kilograms in _MASSES_KG.items() if unit != "st"},
    **dict.fromkeys(("kgf", "kp"), _GRAVITY),
    "lbf": _POUND_KG * _GRAVITY,
}
_TIMES_S: Mapping[str, float] = {
    **dict.fromkeys(("s", "sec", "second", "seconds", "sekunden"), 1.0),
    **dict.fromkeys(("min", "minute", "minutes", "minuten"), 60.0),
}
_ANGLES_DEG = dict.fromkeys(("deg", "degree", "degrees", "°", "grad"), 1.0)
# By the ending of a key: how large each unit is in that of the key.
_UNITS: Mapping[str, Mapping[str, float]] = {
    "m": _LENGTHS_M,
    "cm": {unit: metres * 100 for unit, metres in _LENGTHS_M.items()},
    "kg": _MASSES_KG,
    "n": _FORCES_N,
    "nm": {"nm": 1.0},
    "s": _TIMES_S,
    "deg": _ANGLES_DEG,
}
# Keys of format 1 that hold another unit where the motion is a path.
_OF_A_PATH_TOO = {
    **dict.fromkeys(("available_deg", "active_deg"), "degrees, or cm of a path"),
    "mean_nm": "Nm, or N of a path",
}
_SHOWN = {"n": "N", "nm": "Nm", "deg": "degrees"}
# A length without a unit may be in one of these; it is taken for one of the metric ones where no other is possible.
_UNITS_TRIED = {"m": "metres", "cm": "centimetres", "in": "inches", "ft": "feet"}
_METRIC = ("m", "cm")
_WHOLE = (*_FEET, "st")  # 5.8 ft is taken for 5 ft 8 by some
_LETTERS_OF_A_UNIT, _DIGITS_OF_A_YEAR, _DECIMALS = 3, 4, 4
_NEAREST = 0.01  # of a length in feet or inches that is kept in whole centimetres
_NO_LETTER = r"(?![^\W\d_])"
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)")
_ONE_OR_TWO = re.compile(r"[+-]?[0-9]+,(?:[0-9]{1,2}|0[0-9]+)")
_THOUSANDS = re.compile(r"([+-]?[1-9][0-9]{0,2})[.,]([0-9]{3})")
_WITH_UNIT = re.compile(rf"({_NUMBER.pattern})\s*([^\s0-9.,+-]+)")
_DATE = re.compile(r"([0-9]{1,4})\s*([-./])\s*([0-9]{1,2})\s*\2\s*([0-9]{1,4})")
_TIME = re.compile(r"([0-9]{1,2})(?:[:.]([0-9]{2}))?\s*(am|pm|a\.m\.|p\.m\.|uhr)?", re.IGNORECASE)
_HOURS_OF_A_HALF, _HOURS, _MINUTES = 12, 24, 60
_SIDES = {"left": ("l", "lt", "li", "links"), "right": ("r", "rt", "re", "rechts")}
_YES, _NO = ("true", "yes", "y", "ja", "j"), ("false", "no", "n", "nein")


def _one_of(units: tuple[str, ...]) -> str:
    return "|".join(sorted(map(re.escape, units), key=len, reverse=True))


@dataclass(frozen=True)
class _Pair:
    """Two units that are written together: the larger one, and of the second part its unit, or the one left out."""

    first: str
    firsts: tuple[str, ...]
    second: str
    seconds: tuple[str, ...]
    least_digits: int = 1
    """Of a second part without its unit: 1 m 7 can be 1.07 m and 1.7 m."""

    @property
    def form(self) -> re.Pattern[str]:
        """A whole text in this form."""
        first, second = _one_of(self.firsts), _one_of(self.seconds)
        return re.compile(rf"([0-9]+)\s*(?:{first})\s*([0-9]+(?:[.,][0-9]+)?)\s*({second})?", re.IGNORECASE)

    def inside(self, *, bare: bool) -> re.Pattern[str]:
        """The spaces around the first unit in a longer text; `bare`: also where the second has no unit."""
        first, second = _one_of(self.firsts), _one_of(self.seconds)
        ends = rf"\s*(?:{second}){_NO_LETTER}" + (r"|(?=[\s,;]|$)" if bare else "")
        head = rf"(?<![0-9.,])([0-9]+)\s*({first})\s+"
        return re.compile(rf"{head}(?=[0-9]+(?:[.,][0-9]+)?(?:{ends}))", re.IGNORECASE)


_PAIRS = (
    _Pair("ft", _FEET, "in", (*_INCHES, "''")),
    _Pair("m", _METRES, "cm", ("cm", "mm"), 2),
    _Pair("st", ("st",), "lb", ("lb", "lbs")),
)
_FORMS = tuple((pair, pair.form) for pair in _PAIRS)
_INSIDE = {bare: tuple(pair.inside(bare=bare) for pair in _PAIRS) for bare in (False, True)}


@dataclass(frozen=True)
class Unclear:
    """A text that is not taken for a value: why, which is empty where it means none, and what to write instead."""

    what: str
    fix: str


_NOTHING = Unclear("", "write it without quotes, as expected")


def unit_of(key: str) -> str:
    """The unit in which the number of a key is kept, as people write it; empty if it has none."""
    ending = key.rpartition("_")[2] if "_" in key else ""
    return _SHOWN.get(ending, ending) if ending in _UNITS else ""


def with_unit(here: Expected, key: str) -> str:
    """What is expected, with the unit of the key: "a number from 1.0 to 2.3, in m"."""
    unit, words = _OF_A_PATH_TOO.get(key, unit_of(key)), describe(here)
    return f"{words}, in {unit}" if unit and here.kind in (int, float) else words


def has_unit(text: str) -> bool:
    """Whether a number with a unit is written here, such as 172cm or 1m72."""
    return _WITH_UNIT.fullmatch(text) is not None or in_two_units(text) is not None


def is_one_or_two(text: str) -> bool:
    """Whether a text can be one number with a decimal comma as well as two numbers, such as 1,05."""
    return _ONE_OR_TWO.fullmatch(text) is not None


def join_units(text: str, *, bare: bool = False) -> str:
    """The same text with each unit directly after its number: "87.5 cm 0.5 kg" as "87.5cm 0.5kg".

    So is what belongs together in two units: "1 m 20 cm" as "1m20cm"; `bare`: "1 m 20" as "1m20", too. What follows
    a comma is another value: "1 m, 20 cm" are two.
    """
    text = _BEFORE_UNIT.sub("", text)
    for inside in _INSIDE[bare]:
        text = inside.sub(r"\1\2", text)
    return text


_BEFORE_UNIT = re.compile(
    r"(?<=[0-9])\s+(?=(?:"
    + "|".join(sorted((re.escape(unit) for units in _UNITS.values() for unit in units), key=len, reverse=True))
    + r")(?![^\W\d_]))",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class InTwoUnits:
    """The parts of a value in two units; `clear` is whether the second can be read in one way, but for its size."""

    larger: int
    first: str
    smaller: float
    second: str
    clear: bool


def in_two_units(text: str) -> InTwoUnits | None:
    """The parts of a text that is one value in two units; None if it is none."""
    for pair, form in _FORMS:
        found = form.fullmatch(text)
        if found is None:
            continue
        number, unit = found[2], (found[3] or "").casefold()
        second = unit if pair.first == "m" and unit else pair.second
        digits = len(re.split("[.,]", number)[0])
        clear = bool(unit) or digits >= pair.least_digits
        return InTwoUnits(int(found[1]), pair.first, float(number.replace(",", ".")), second, clear)
    return None


def read_typed(text: str, here: Expected, key: str = "", dates: DateOrder | None = None) -> object | Unclear:
    """The value that a text means where `here` is expected under a key; Unclear if it means none or several.

    `dates` is the order of day and month in the clinic. Without one, a date is taken only where it can be no other.
    """
    text = text.strip()
    if here.choices:
        return _choice(text, here)
    if here.kind is bool:
        return text.lower() in _YES if text.lower() in (*_YES, *_NO) else _NOTHING
    if here.kind is date:
        return _date(text, dates)
    if here.kind in (int, float):
        return _number(text, here, key)
    if here.kind is datetime:
        return _moment(text)
    for member in here.members:
        if not isinstance(value := read_typed(text, member, key, dates), Unclear):
            return value
    return text


def _choice(text: str, here: Expected) -> object | Unclear:
    """A choice, also in capitals; a side also by its first letter."""
    plain = text.casefold()
    for choice in here.choices:
        if plain in (str(choice).casefold(), *(_SIDES[choice] if set(here.choices) == set(_SIDES) else ())):
            found: object = choice
            return found
    return _NOTHING


def _number(text: str, here: Expected, key: str) -> float | Unclear:
    """A number in the unit of the key, from a text with a unit or without one."""
    units = _UNITS.get(key.rpartition("_")[2], {}) if "_" in key else {}
    if _NUMBER.fullmatch(text):
        own = _fitting(text, 1.0, here, text)
        if isinstance(own, float) and text.lstrip("+-").isdigit():
            own = int(own)  # 3 stays 3 in the file
        return own if isinstance(own, Unclear) or _fits(own, here) else _without_unit(text, own, units, here)
    compound = _compound(text, units, here)
    if compound is not None:
        return compound
    found = _WITH_UNIT.fullmatch(text)
    if found is None or not units:
        return _NOTHING
    number, unit = found[1], found[2].casefold()
    if unit not in units:
        if key in _OF_A_PATH_TOO:
            return Unclear(f"{text} has a unit that may not be that of the motion", "write the number alone")
        known = ", ".join(_SHOWN.get(one, one) for one in units if one.isalpha() and len(one) <= _LETTERS_OF_A_UNIT)
        return Unclear(f"{text} has a unit that is not used here", f"write it in one of {known}")
    if unit in _WHOLE and not number.isdigit():
        return Unclear(f"{text} can be read in two ways", "write both parts, such as 5 ft 8, or a metric unit")
    return _fitting(number, units[unit], here, text, unit in (*_INCHES, *_WHOLE))


def _readings(number: str) -> Iterator[float]:
    """What a number can mean: 1,250 is one and a quarter, and to others a thousand two hundred and fifty."""
    yield float(number.replace(",", "."))
    thousands = _THOUSANDS.fullmatch(number)
    if thousands is not None:
        yield float(thousands[1] + thousands[2])


def _fitting(number: str, factor: float, here: Expected, text: str, nearest: bool = False) -> float | Unclear:
    """The reading of a number that fits the bounds; the first if none does, so that the model says what is wrong."""
    read = [_rounded(reading * factor, here, nearest) for reading in _readings(number)]
    fitting = [value for value in read if _fits(value, here)]
    if len(fitting) > 1 and ("," in number or here.bounds):
        plain = " or ".join(f"{value:g}" for value in fitting)
        return Unclear(
            f"{text} can be {plain}", "write it without a sign between the thousands, or with a decimal point"
        )
    return (fitting or read)[0]


def _without_unit(text: str, own: float, units: Mapping[str, float], here: Expected) -> float | Unclear:
    """A number outside the bounds in the unit of its key: a length that can only be metres or centimetres is one.

    172 as a stature in metres is 172 cm. 16 as the length of a forearm can be centimetres or inches.
    """
    possible = {
        unit: value
        for unit in _UNITS_TRIED
        if unit in units
        and units[unit] != 1.0
        and _fits(value := _rounded(own * units[unit], here, unit not in _METRIC), here)
    }
    is_fraction = _fits(own, Expected(float, here.bounds))  # but not whole, as it should be
    if not possible or (is_fraction and not possible.keys() & {*_METRIC}):
        return own
    if len(possible) == 1 and possible.keys() <= {*_METRIC}:
        return next(iter(possible.values()))
    names = " or ".join(_UNITS_TRIED[unit] for unit in possible)
    return Unclear(f"{text} can be {names}", f"write the unit: {text} {next(iter(possible))}")


def _compound(text: str, units: Mapping[str, float], here: Expected) -> float | Unclear | None:
    """A length or mass in two units, such as 5 ft 8 or 1 m 72; None if the text is none."""
    found = in_two_units(text)
    if found is None or found.first not in units:
        return None
    larger, smaller = units[found.first], units[found.second]
    if not found.clear or found.smaller >= round(larger / smaller):
        return Unclear(
            f"{text} can be read in two ways",
            "write it in one unit, or as in 1 m 72, 5 ft 8, 11 st 4; put a comma between two values",
        )
    return _rounded(found.larger * larger + found.smaller * smaller, here, nearest=found.first not in _METRIC)


def _rounded(value: float, here: Expected, nearest: bool = False) -> float:
    """To a tenth of a millimetre in metres; of a whole number as one, the `nearest` to feet and inches."""
    kept = round(value, _DECIMALS)
    if nearest and here.kind is int and abs(round(value) - value) <= _NEAREST * value:
        return round(value)
    return int(kept) if kept.is_integer() and here.kind is int else kept


def _fits(value: float, here: Expected) -> bool:
    bounds = here.bounds
    return (
        (here.kind is float or float(value).is_integer())
        and value >= bounds.get("ge", value)
        and value <= bounds.get("le", value)
        and value > bounds.get("gt", float("-inf"))
        and value < bounds.get("lt", float("inf"))
    )


def _date(text: str, order: DateOrder | None) -> date | Unclear:
    """A date: year first, or in the clinic's order, or one that can be no other."""
    found, fix = _DATE.fullmatch(text), "write the year, then the month, then the day"
    if found is None:
        return Unclear("", fix)
    first, sign, second, third = found[1], found[2], found[3], found[4]
    if len(first) == _DIGITS_OF_A_YEAR and len(third) <= 2:
        possible = [(int(first), int(second), int(third))]
    elif len(first) <= 2 and len(third) == _DIGITS_OF_A_YEAR:
        year, one, other = int(third), int(first), int(second)
        possible = [(year, other, one)] * (order != "month first" or sign == ".")
        possible += [(year, one, other)] * (order != "day first")
    else:
        return Unclear(f"{text} has no year of four digits", fix)
    days = {day for parts in possible if (day := _day(*parts)) is not None}
    if len(days) == 1:
        return days.pop()
    if not days:
        return Unclear(f"{text} is no day of the calendar" + (f", {order}" if order else ""), fix)
    return Unclear(f"{text} can be {' or '.join(sorted(f'{day}' for day in days))}", fix)


def read_time(text: str) -> str | None:
    """A time of day as 17:30, also from 5:30 pm; None where it can be two, as 5:30, or none."""
    found = _TIME.fullmatch(text.strip().strip('"').strip())
    if found is None or not (found[2] or found[3]):
        return None
    hour, minute, half = int(found[1]), int(found[2] or 0), (found[3] or "")[:1].casefold()
    if half in ("a", "p"):
        if not 1 <= hour <= _HOURS_OF_A_HALF:
            return None
        hour = hour % _HOURS_OF_A_HALF + (_HOURS_OF_A_HALF if half == "p" else 0)
    elif len(found[1]) == 1:
        return None
    return f"{hour:02}:{minute:02}" if hour < _HOURS and minute < _MINUTES else None


def _moment(text: str) -> datetime | Unclear:
    """A date and a time with its offset, as the files write it."""
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return _NOTHING
    return moment if moment.tzinfo is not None else _NOTHING


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
