"""The sign and the colours of each cell of a picture: the nearest that a set of signs can come to it.

With two colours a cell shows the two most important things in it, and a part that is covered partly gets a colour in
between. Without colour the best sign stands alone, and surfaces are shades.
"""

from functools import lru_cache
from itertools import accumulate
from typing import Literal

from msgspec import Struct

from coach.drawing.cells.picture import Cell, RowLayers, cells_of
from coach.drawing.cells.samples import ALL_SAMPLES
from coach.drawing.cells.signs import SignSet
from coach.drawing.line_styles import CELL_STYLES, SURFACES
from coach.drawing.shapes import Role

CellRole = Role | Literal["label", "guide", "empty"]

# Lines at least so wide, in cell widths, get smooth edges; a thinner one keeps its full colour and so its contrast.
_SMOOTH_FROM = 1.0

SHARES = 4
"""A mixed colour has a whole number of this many parts of the upper colour; finer steps cannot be seen."""


class Paint(Struct, frozen=True):
    """Two colours of one cell, each a mixture of `over` and `under`: so many of SHARES parts are `over`."""

    over: CellRole
    under: CellRole = "empty"
    sign: int = SHARES
    """In what the sign covers."""
    rest: int = 0
    """In the rest of the cell."""


# In a moving drawing most rows are as they were in the frame before.
@lru_cache(maxsize=256)
def ink_row(layers: RowLayers, signs: SignSet) -> tuple[tuple[int, tuple[str, Role]], ...]:
    """The cells of a row that are not empty, with their columns, as signs alone."""
    cells = ((column, ink_cell(cell, signs)) for column, cell in cells_of(layers).items())
    return tuple((column, drawn) for column, drawn in cells if drawn is not None)


@lru_cache(maxsize=256)
def paint_row(layers: RowLayers, signs: SignSet) -> tuple[tuple[int, tuple[str, Paint]], ...]:
    """The cells of a row that are not empty, with their columns, in two colours."""
    cells = ((column, paint_cell(cell, signs)) for column, cell in cells_of(layers).items())
    return tuple((column, drawn) for column, drawn in cells if drawn is not None)


def ink_cell(cell: Cell, signs: SignSet) -> tuple[str, Role] | None:
    """The sign alone: lines as parts, else the main surface as a shade; None where most of the cell is empty."""
    lines = {role: bits for role, bits in cell.items() if role not in SURFACES}
    inked = 0
    for bits in lines.values():
        inked |= bits
    parts = _half_covered(inked, signs) if inked else 0
    if parts:
        return signs.signs[parts], _largest(lines)
    surfaces = {role: bits for role, bits in cell.items() if role not in lines}
    if 2 * sum(bits.bit_count() for bits in surfaces.values()) >= ALL_SAMPLES.bit_count():
        role = _largest(surfaces)
        return CELL_STYLES[role].shade, role
    return None


def paint_cell(cell: Cell, signs: SignSet) -> tuple[str, Paint] | None:
    """The sign and its two colours; None for a cell that is as good as empty."""
    return _paint_of(tuple(cell.items()), signs)


# Most cells of a drawing are alike: full of one part, or of a part of the body that does not move.
@lru_cache(maxsize=1 << 14)
def _paint_of(covered_by: tuple[tuple[Role, int], ...], signs: SignSet) -> tuple[str, Paint] | None:
    cell = dict(covered_by)
    shown = {role: bits for role, bits in cell.items() if _is_seen(role, bits, signs)}
    if not shown:
        return None
    lines = {role: bits for role, bits in shown.items() if role not in SURFACES}
    over = _largest(lines or shown)
    covered = 0
    for bits in shown.values():
        covered |= bits
    rest = {role: bits for role, bits in shown.items() if role != over}
    under: CellRole = "empty"
    if rest and rest[_largest(rest)].bit_count() >= (ALL_SAMPLES & ~covered).bit_count():
        under = _largest(rest)
    parts, sign, rest_share = _split(shown[over], signs, _is_thin(over))
    return signs.signs[parts], Paint(over, under, sign, rest_share)


def _is_seen(role: Role, bits: int, signs: SignSet) -> bool:
    """Whether a thin line fills half of a part: less of one is a sliver whose next cell shows the line."""
    return not _is_thin(role) or bool(_half_covered(bits, signs))


def _is_thin(role: Role) -> bool:
    return role not in SURFACES and CELL_STYLES[role].width < _SMOOTH_FROM


def _largest(cell: Cell) -> Role:
    return max(cell, key=lambda role: cell[role].bit_count())


@lru_cache(maxsize=1 << 14)
def _half_covered(bits: int, signs: SignSet) -> int:
    """The parts of which at least half is covered, as bits."""
    return sum(
        1 << part for part, mask in enumerate(signs.masks) if 2 * (bits & mask).bit_count() >= signs.samples_a_part
    )


@lru_cache(maxsize=1 << 14)
def _split(bits: int, signs: SignSet, thin: bool) -> tuple[int, int, int]:
    """The parts that the sign covers, and the shares of colour in the sign and in the rest.

    The parts are split at the coverage that leaves the least squares. A thin line is the parts of which half is
    covered.
    """
    all_parts = (1 << len(signs.masks)) - 1
    if thin:
        return _half_covered(bits, signs), SHARES, 0
    covers = sorted((((bits & mask).bit_count(), part) for part, mask in enumerate(signs.masks)), reverse=True)
    sums = list(accumulate(cover for cover, _ in covers))
    total, count = sums[-1], len(covers)
    best = max(
        range(1, count),
        key=lambda taken: sums[taken - 1] ** 2 / taken + (total - sums[taken - 1]) ** 2 / (count - taken),
    )
    sign, rest = (
        round(SHARES * covered / (parts_there * signs.samples_a_part))
        for covered, parts_there in ((sums[best - 1], best), (total - sums[best - 1], count - best))
    )
    if sign == rest:
        return all_parts, sign, sign
    return sum(1 << part for _, part in covers[:best]), sign, rest
