"""A measured point put into profile.toml as a person would write it: everything else in the file stays as it is."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

from coach.files.diagnostic import Diagnostic, FileFault, whole_file
from coach.files.toml import parse_model, read_text
from coach.files.value_faults import nearest
from coach.mechanics.load import GRAVITY_M_S2
from coach.model.profile import Profile

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

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
    import tomlkit  # only who adds a point pays for it

    text = read_text(path)
    names = [grade.name for grade in parse_model(text, path, Profile).bands]
    if band not in names:
        raise FileFault([_no_band(path, band, names)])
    document = tomlkit.parse(text)
    _add(document, names.index(band), round(length_m, _LENGTH_DIGITS), round(force_n, _FORCE_DIGITS))
    changed = tomlkit.dumps(document)
    parse_model(changed, path, Profile)
    return changed


def _add(document: "TOMLDocument", band: int, length_m: float, force_n: float) -> None:
    """Append a point to a band's list of points, or to its tables of points: both are the same to TOML."""
    from tomlkit import parse, table
    from tomlkit.items import Array

    bands: Any = document["bands"]  # tomlkit cannot know what a file holds
    points = bands[band]["points"]
    if isinstance(points, Array):
        points.append(parse(f"point = {{ length_m = {length_m}, force_n = {force_n} }}")["point"])
        return
    point = table()
    point["length_m"] = length_m
    point["force_n"] = force_n
    points.append(point)


def _no_band(path: Path, band: str, names: list[str]) -> Diagnostic:
    what = f"no band is called {band!r} here"
    mend = "give the name of a band as it stands in this file"
    return whole_file(path, what, f"one of {', '.join(names)}", mend, nearest(band, names))
