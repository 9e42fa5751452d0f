"""A measured point put into profile.toml as a person would write it: everything else in the file stays as it is."""

import tomllib
from pathlib import Path
from typing import Any

from coach.mechanics.torque import GRAVITY_M_S2
from coach.model.profile import Profile
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file
from coach.toml.reader import parse_model, read_text
from coach.toml.value_faults import nearest

# As fine as any tape or scale at home, so that the digits of a product do not get into the file.
_LENGTH_DIGITS, _FORCE_DIGITS = 4, 2


def force_from_kg(kg: float) -> float:
    """The force in newtons at which a luggage or kitchen scale shows this many kilograms.

    Scales are marked for the standard acceleration of free fall: 3rd General Conference on Weights and Measures,
    1901 (from memory).
    """
    return kg * GRAVITY_M_S2


def with_point(path: Path, band: str, length_m: float, force_n: float) -> str:
    """The text of profile.toml with one more measured point of a band; the file itself is not written.

    Length to a tenth of a millimetre, force to a hundredth of a newton. FileFault where the file is wrong already,
    has no such band, or would be wrong with the point: not stretched, at a length that has one, no force.
    """
    text = read_text(path)
    names = [grade.name for grade in parse_model(text, path, Profile).bands]
    if band not in names:
        raise FileFault([_no_band(path, band, names)])
    point = {"length_m": round(length_m, _LENGTH_DIGITS), "force_n": round(force_n, _FORCE_DIGITS)}
    changed = _added(text, names.index(band), point)
    if changed is None:
        raise FileFault([_write_it_yourself(path, band, point)])
    parse_model(changed, path, Profile)
    return changed


def _added(text: str, band: int, point: dict[str, float]) -> str | None:
    """The text with the point at the end of its list, else before the last of it; None where neither can be.

    A list that ends in comments without a comma is not extended rightly by the library, so the result is read again
    and taken only if it says what the old text said and the point, no more and no less.
    """
    count = len(tomllib.loads(text)["bands"][band]["points"])
    for at in (count, count - 1):
        expected = tomllib.loads(text)
        expected["bands"][band]["points"].insert(at, point)
        changed = _inserted(text, band, point, at)
        try:
            found = tomllib.loads(changed)
        except tomllib.TOMLDecodeError:
            continue
        if repr(found) == repr(expected):  # as written: a nan is not equal to itself, and is refused later, in words
            return changed
    return None


def _inserted(text: str, band: int, point: dict[str, float], at: int) -> str:
    """The text with the point at this place of its list, or after its tables of points."""
    import tomlkit  # only who adds a point pays for it
    from tomlkit.items import AoT

    document = tomlkit.parse(text)
    bands: Any = document["bands"]  # what a file holds has no type yet
    points = bands[band]["points"]
    if isinstance(points, AoT):
        points.append(tomlkit.item(point))
    else:
        points.insert(at, tomlkit.parse(f"point = {_line(point)}")["point"])
    return tomlkit.dumps(document)


def _line(point: dict[str, float]) -> str:
    """A point as a person writes it."""
    return f"{{ {', '.join(f'{key} = {value}' for key, value in point.items())} }}"


def _no_band(path: Path, band: str, names: list[str]) -> Diagnostic:
    what = f"no band is called {band!r} here"
    mend = "give the name of a band as it stands in this file"
    return whole_file(path, what, f"one of {', '.join(names)}", mend, nearest(band, names))


def _write_it_yourself(path: Path, band: str, point: dict[str, float]) -> Diagnostic:
    what = f"the points of {band} are laid out so that nothing can be added without touching the rest"
    return whole_file(
        path, what, "a point a line, each with a comma after it", f"write it in yourself: {_line(point)}"
    )
