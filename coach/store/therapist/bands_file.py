"""Adds a measured point, or a new measurement of a band, to profile.toml; the rest of the file stays as it is."""

import tomllib
from collections.abc import Sequence
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

from coach.mechanics.motion.motion import GRAVITY_M_S2
from coach.model.profile import Profile
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file
from coach.toml.editor import edit, insert_row, move_into_row, put_rows
from coach.toml.nearest_name import nearest_name
from coach.toml.reader import parse_model, read_text
from coach.toml.writer import toml_value

# As fine as any tape or scale at home; more digits would only come from arithmetic.
_LENGTH_DIGITS, _FORCE_DIGITS = 4, 2
_LEAST_PULLS = 2


def force_from_kg(kg: float) -> float:
    """The force in newtons at which a luggage or kitchen scale shows this many kilograms.

    Scales are marked for the standard acceleration of free fall: 3rd General Conference on Weights and Measures,
    1901 (from memory).
    """
    return kg * GRAVITY_M_S2


def kg_from_force(force_n: float) -> float:
    """What such a scale shows at a force."""
    return force_n / GRAVITY_M_S2


def with_point(path: Path, band: str, length_m: float, force_n: float) -> str:
    """The text of profile.toml with one more measured point of a band; the file itself is not written.

    `length_m` is rounded to a tenth of a millimetre, `force_n` to a hundredth of a newton. Raises FileFault where the
    file has faults, has no such band, or would have a fault with the point: not longer than the resting length, a
    length that has a point already, no force.
    """
    text = read_text(path)
    names = _own_bands(text, path, band)
    point = {"length_m": round(length_m, _LENGTH_DIGITS), "force_n": round(force_n, _FORCE_DIGITS)}
    changed = _added(text, names.index(band), point)
    if changed is None:
        raise FileFault([_write_it_yourself(path, band, point)])
    parse_model(changed, path, Profile)
    return changed


def with_measurement(
    path: Path, band: str, resting_length_m: float, pulls: Sequence[tuple[float, float]], day: date
) -> str:
    """The text of profile.toml with a band measured again; the file itself is not written.

    What was measured before moves into `earlier` of the band, whole. `pulls` are lengths in metres with forces in
    newtons, rounded as in `with_point`. Raises FileFault as `with_point` does, also for fewer than two pulls: one
    would say less about the band than was known before.
    """
    text = read_text(path)
    names = _own_bands(text, path, band)
    if len(pulls) < _LEAST_PULLS:
        raise FileFault([_too_few(path, band)])
    rest_m = round(resting_length_m, _LENGTH_DIGITS)
    points = [
        {"length_m": round(length_m, _LENGTH_DIGITS), "force_n": round(force_n, _FORCE_DIGITS)}
        for length_m, force_n in pulls
    ]
    changed = edit(text, partial(_measure_again, band=names.index(band), rest_m=rest_m, points=points, day=day))
    if changed is None:
        raise FileFault([_move_it_yourself(path, band)])
    parse_model(changed, path, Profile)
    return changed


def _own_bands(text: str, path: Path, band: str) -> list[str]:
    """The names of the bands that are measured in this file. Raises FileFault where `band` is none of them."""
    profile = parse_model(text, path, Profile)
    names = [grade.name for grade in profile.bands]
    roll = next((piece.roll for piece in profile.pieces if piece.called == band), None)
    if roll is not None:
        what, expected = f"{band} is a piece of the clinic's roll {roll}, which is measured in clinic.toml", ""
        fix = "measure the roll there, or give this piece an entry of its own under [[bands]]"
        raise FileFault([whole_file(path, what, expected, fix)])
    if band not in names:
        raise FileFault([_no_band(path, band, names)])
    return names


def _measure_again(document: Any, band: int, rest_m: float, points: list[dict[str, float]], day: date) -> None:
    """Move what was measured into `earlier`, and put the new measurement in its place."""
    grade = document["bands"][band]
    move_into_row(grade, ("measured_on", "resting_length_m", "points"), "earlier")
    grade["resting_length_m"], grade["measured_on"] = rest_m, day
    put_rows(grade, "points", points)


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


def _too_few(path: Path, band: str) -> Diagnostic:
    what = f"{band} was pulled to fewer than two lengths: one pull would say less than was known before"
    return whole_file(path, what, "two pulls or more, at lengths far apart", "measure another length")


def _move_it_yourself(path: Path, band: str) -> Diagnostic:
    what = f"the entry of {band} is laid out so that it cannot be changed without changing the rest"
    fix = "move measured_on, resting_length_m and points into earlier of the band by hand, and write the new ones"
    return whole_file(path, what, "a band under a header of its own, [[bands]]", fix)


def _write_it_yourself(path: Path, band: str, point: dict[str, float]) -> Diagnostic:
    what = f"the points of {band} are laid out so that nothing can be added without changing the rest"
    return whole_file(
        path, what, "a point a line, each with a comma after it", f"add it by hand: {toml_value(point)}"
    )
