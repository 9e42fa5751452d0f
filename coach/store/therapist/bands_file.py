"""Adds a measured point to profile.toml as a person would write it; the rest of the file stays as it is."""

import tomllib
from functools import partial
from pathlib import Path
from typing import Any

from coach.mechanics.motion.motion import GRAVITY_M_S2
from coach.model.profile import Profile
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file
from coach.toml.editor import edit, insert_row
from coach.toml.nearest_name import nearest_name
from coach.toml.reader import parse_model, read_text
from coach.toml.writer import toml_value

# As fine as any tape or scale at home; more digits would only come from arithmetic.
_LENGTH_DIGITS, _FORCE_DIGITS = 4, 2


def force_from_kg(kg: float) -> float:
    """The force in newtons at which a luggage or kitchen scale shows this many kilograms.

    Scales are marked for the standard acceleration of free fall: 3rd General Conference on Weights and Measures,
    1901 (from memory).
    """
    return kg * GRAVITY_M_S2


def with_point(path: Path, band: str, length_m: float, force_n: float) -> str:
    """The text of profile.toml with one more measured point of a band; the file itself is not written.

    `length_m` is rounded to a tenth of a millimetre, `force_n` to a hundredth of a newton. Raises FileFault where the
    file has faults, has no such band, or would have a fault with the point: not longer than the resting length, a
    length that has a point already, no force.
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
    """The text with the point at the end of its list, else before the last of it; None where neither can be."""
    count = len(tomllib.loads(text)["bands"][band]["points"])
    changes = (partial(_insert, band=band, index=index, point=point) for index in (count, count - 1))
    return next((changed for change in changes if (changed := edit(text, change)) is not None), None)


def _insert(document: Any, band: int, index: int, point: dict[str, float]) -> None:
    insert_row(document["bands"][band]["points"], index, point)


def _no_band(path: Path, band: str, names: list[str]) -> Diagnostic:
    what = f"no band is called {band!r} here"
    fix = "give the name of a band as it stands in this file"
    return whole_file(path, what, f"one of {', '.join(names)}", fix, nearest_name(band, names))


def _write_it_yourself(path: Path, band: str, point: dict[str, float]) -> Diagnostic:
    what = f"the points of {band} are laid out so that nothing can be added without changing the rest"
    return whole_file(
        path, what, "a point a line, each with a comma after it", f"add it by hand: {toml_value(point)}"
    )
