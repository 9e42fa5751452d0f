"""The signs of each set, against the names of the Unicode Standard."""

import unicodedata

from coach.drawing.cells.samples import ALL_SAMPLES
from coach.drawing.cells.signs import SIGN_SETS

_PLACES = ("UPPER LEFT", "UPPER RIGHT", "LOWER LEFT", "LOWER RIGHT")


def _parts(bits: int) -> list[int]:
    return [part for part in range(8) if bits >> part & 1]


def test_every_choice_of_parts_has_one_sign_of_its_own() -> None:
    for name, signs in SIGN_SETS.items():
        assert len(signs.signs) == len(set(signs.signs)) == 1 << signs.across * signs.down, name
        assert sum(signs.masks) == ALL_SAMPLES


def test_sextants_are_named_after_their_parts() -> None:
    """The Unicode Standard 13.0, chart U1FB00: BLOCK SEXTANT-135 would be the left half, and is not encoded."""
    for bits, sign in enumerate(SIGN_SETS["sextants"].signs):
        digits = "".join(str(part + 1) for part in _parts(bits))
        older = {"": " ", "135": "▌", "246": "▐", "123456": "█"}
        assert sign == older.get(digits) or unicodedata.name(sign) == f"BLOCK SEXTANT-{digits}"


def test_quadrants_are_named_after_their_parts() -> None:
    """The Unicode Standard, chart U2580."""
    for bits, sign in enumerate(SIGN_SETS["quadrants"].signs):
        name = unicodedata.name(sign)
        if name.startswith("QUADRANT"):
            assert name == "QUADRANT " + " AND ".join(_PLACES[part] for part in _parts(bits)), sign


def test_octants_are_where_the_standard_has_them() -> None:
    """The Unicode Standard 16.0, chart U1CC00: 230 octants from U+1CD00 (OCTANT-3) to U+1CDE5 (OCTANT-2345678).

    The names of the others: U+1CEA8 LEFT HALF UPPER ONE QUARTER BLOCK, U+1CEA0 RIGHT HALF LOWER ONE QUARTER BLOCK,
    U+1FB82 UPPER ONE QUARTER BLOCK, U+1FBE6 MIDDLE LEFT ONE QUARTER BLOCK.
    """
    signs = SIGN_SETS["octants"].signs
    own = [ord(sign) for sign in signs if 0x1CD00 <= ord(sign) <= 0x1CDE5]
    assert own == list(range(0x1CD00, 0x1CDE6))
    known = {
        "3": 0x1CD00,
        "23": 0x1CD01,
        "2345678": 0x1CDE5,
        "1": 0x1CEA8,
        "8": 0x1CEA0,
        "12": 0x1FB82,
        "35": 0x1FBE6,
    }
    known |= {"13": ord("▘"), "1357": ord("▌"), "1234": ord("▀"), "78": ord("▂"), "345678": ord("▆")}
    for digits, code in known.items():
        assert ord(signs[sum(1 << int(digit) - 1 for digit in digits)]) == code, digits
