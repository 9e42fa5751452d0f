"""The sets of signs that divide a cell into equal parts, from the coarsest to the finest.

The signs of a set are in the order of their parts: bit 0 is the upper left part, the bits go along each row. Code
points: Unicode 16.0, blocks Block Elements, Symbols for Legacy Computing, and its Supplement.
"""

from collections.abc import Iterator, Mapping
from functools import cached_property
from types import MappingProxyType

from msgspec import Struct

from coach.drawing.cells.samples import ACROSS, DOWN
from coach.model.option_names import SignSetName

_SEXTANTS_FROM, _OCTANTS_FROM = 0x1FB00, 0x1CD00
_QUADRANTS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"

# Octants that are not in the block of the octants, as other blocks have them; those that are quadrants, with parts of
# two octants each, are added below.
_OTHER_OCTANTS = {
    0b00000001: 0x1CEA8,
    0b00000010: 0x1CEAB,
    0b01000000: 0x1CEA3,
    0b10000000: 0x1CEA0,
    0b00000011: 0x1FB82,
    0b00111111: 0x1FB85,
    0b00010100: 0x1FBE6,
    0b00101000: 0x1FBE7,
    0b11000000: ord("▂"),
    0b11111100: ord("▆"),
}


class SignSet(Struct, frozen=True, dict=True):
    """Signs for cells of `across` by `down` parts, one for each choice of inked parts."""

    across: int
    down: int
    signs: str

    @cached_property
    def masks(self) -> tuple[int, ...]:
        """The samples of each part, as bits of a cell."""
        return tuple(self._mask(part) for part in range(self.across * self.down))

    @property
    def samples_a_part(self) -> int:
        """How many samples a part has."""
        return ACROSS * DOWN // (self.across * self.down)

    @property
    def part_width(self) -> float:
        """The width of a part in cell widths."""
        return 1 / self.across

    @property
    def part_height(self) -> float:
        """The height of a part in cell widths; a cell is two of them high."""
        return 2 / self.down

    def _mask(self, part: int) -> int:
        row, column = divmod(part, self.across)
        wide, high = ACROSS // self.across, DOWN // self.down
        line = ((1 << wide) - 1) << column * wide
        return sum(line << ACROSS * y for y in range(row * high, (row + 1) * high))


def _sextants() -> Iterator[str]:
    """The halves are older than the sextants, and left out of their block."""
    older = {0b000000: " ", 0b010101: "▌", 0b101010: "▐", 0b111111: "█"}
    code = _SEXTANTS_FROM
    for parts in range(64):
        if parts in older:
            yield older[parts]
        else:
            yield chr(code)
            code += 1


def _octants() -> Iterator[str]:
    older = {parts: chr(code) for parts, code in _OTHER_OCTANTS.items()}
    for parts, sign in enumerate(_QUADRANTS):
        upper, lower = parts & 3, parts >> 2
        older[upper * 0b0101 | (lower * 0b0101) << 4] = sign
    code = _OCTANTS_FROM
    for parts in range(256):
        if parts in older:
            yield older[parts]
        else:
            yield chr(code)
            code += 1


SIGN_SETS: Mapping[SignSetName, SignSet] = MappingProxyType(
    {
        "halves": SignSet(1, 2, " ▀▄█"),
        "quadrants": SignSet(2, 2, _QUADRANTS),
        "sextants": SignSet(2, 3, "".join(_sextants())),
        "octants": SignSet(2, 4, "".join(_octants())),
    }
)
QUADRANTS = SIGN_SETS["quadrants"]
"""The set that every terminal draws whose font has block elements: the default."""
