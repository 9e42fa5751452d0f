"""Lengths and readings of a scale as they are typed for a band, with a decimal comma or a unit where one likes."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from coach.model.band import BandGrade, BandPoint
from coach.store.therapist.bands_file import kg_from_force
from coach.toml.expected import Expected, expected_fields
from coach.toml.typed_values import Unclear, read_typed, unit_of

_CM = 100.0  # in a metre
_FIX = "write the number alone, or with its unit directly after it, such as 48in or 2.4kg"


class _Wanted(NamedTuple):
    """What one value is, the key in whose unit it is read, and its bounds there."""

    words: str
    key: str
    here: Expected


def band_values(texts: Sequence[str], *, in_kg: bool, again: bool = False) -> list[float] | str:
    """The lengths in centimetres and the readings in newtons, or kilograms; else what is wrong with one of them.

    They are pairs of a length and a reading. Of a band measured again, its resting length comes first.
    """
    found: list[float] = []
    for text, wanted in zip(texts, _wanted(in_kg, again), strict=False):
        value = read_typed(text, wanted.here, wanted.key)
        if isinstance(value, Unclear):
            return _refusal(text, wanted, value)
        assert isinstance(value, int | float)  # what is read where a number is expected
        found.append(float(value))
    return found


def _refusal(text: str, wanted: _Wanted, unclear: Unclear) -> str:
    what, fix = (unclear.what, unclear.fix) if unclear.what else (f"{text} is not a number", _FIX)
    return f"{what}; expected {wanted.words}, in {unit_of(wanted.key)}: {fix}"


def _wanted(in_kg: bool, again: bool) -> Iterator[_Wanted]:
    """What each value is, without end."""
    point, rest = expected_fields(BandPoint), expected_fields(BandGrade)["resting_length_m"]
    if again:
        yield _Wanted("the resting length of the band", "resting_length_cm", _times(rest, _CM))
    length, pull = _times(point["length_m"], _CM), point["force_n"]
    while True:
        yield _Wanted("the length of the stretched strand", "length_cm", length)
        if in_kg:
            yield _Wanted("the reading of the scale", "mass_kg", _times(pull, kg_from_force(1.0)))
        else:
            yield _Wanted("the reading of the scale", "force_n", pull)


def _times(here: Expected, factor: float) -> Expected:
    """The same bounds in another unit."""
    return Expected(here.kind, {name: bound * factor for name, bound in here.bounds.items()})
