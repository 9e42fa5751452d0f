"""How much of a drawing's ink is in the wrong place: the signs of its cells against the picture drawn large.

The fixed picture is drawn at 6 by 12 samples a cell. Its stroke is that of `CELL_STYLES` and of the body to scale,
its ink 1 for every role, and its blur a box of `blur` samples each way, as the eye blurs it from a few steps away.
What the signs show is blurred in the same way. The share is the sum of all differences between the two over the ink
of the picture. Lines drawn with characters are left out.
"""

from collections.abc import Sequence

from coach.drawing.cells.painter import SHARES, ink_cell, paint_cell
from coach.drawing.cells.picture import Picture, cells_of, picture_of
from coach.drawing.cells.samples import ACROSS, DOWN
from coach.drawing.cells.signs import SignSet
from coach.drawing.grid_fit import fit_to_grid
from coach.drawing.line_styles import CELL_STYLES
from coach.drawing.shapes import Scene

_SHADES = {"░": 0.25, "▒": 0.5, "▓": 0.75, "█": 1.0}
Samples = list[list[float]]


def wrong_ink(scene: Scene, size: tuple[int, int], signs: SignSet, colour: bool, blur: int = 0) -> float:
    """The share of ink in the wrong place."""
    fit = fit_to_grid(scene, *size)
    true = _true_samples(picture_of(scene, fit, *size))
    shown = shown_samples(picture_of(scene, fit, *size, signs), signs, colour)
    ink = sum(map(sum, true))
    pairs = zip(_blurred(true, blur), _blurred(shown, blur), strict=True)
    return sum(abs(one - other) for row, others in pairs for one, other in zip(row, others, strict=True)) / ink


def _true_samples(picture: Picture) -> Samples:
    lines = [0] * (picture.rows * DOWN)
    for layer in picture.layers.values():
        lines = [one | other for one, other in zip(lines, layer, strict=True)]
    return [[float(line >> x & 1) for x in range(picture.columns * ACROSS)] for line in lines]


def shown_samples(picture: Picture, signs: SignSet, colour: bool) -> Samples:
    """What the cells show. A shade counts as ink all over its cell: it is how a surface is told from a line."""
    samples = [[0.0] * (picture.columns * ACROSS) for _ in range(picture.rows * DOWN)]
    for row in range(picture.rows):
        for column, cell in cells_of(picture.row(row)).items():
            painted = paint_cell(cell, signs) if colour else None
            drawn = painted or (None if colour else ink_cell(cell, signs))
            if drawn is None:
                continue
            inks = (1.0, 0.0)
            if painted is not None:
                under = float(painted[1].under != "empty")
                sign, rest = painted[1].sign, painted[1].rest
                inks = (under + (1 - under) * sign / SHARES, under + (1 - under) * rest / SHARES)
            parts = (1 << len(signs.masks)) - 1 if drawn[0] in _SHADES else signs.signs.index(drawn[0])
            covered = sum(mask for part, mask in enumerate(signs.masks) if parts >> part & 1)
            for sample in range(ACROSS * DOWN):
                y, x = divmod(sample, ACROSS)
                samples[row * DOWN + y][column * ACROSS + x] = inks[0] if covered >> sample & 1 else inks[1]
    return samples


def _blurred(samples: Samples, blur: int) -> Samples:
    if not blur:
        return samples
    rows = [_box(row, blur) for row in samples]
    return [list(row) for row in zip(*(_box(column, blur) for column in zip(*rows, strict=True)), strict=True)]


def _box(values: Sequence[float], blur: int) -> list[float]:
    """The mean of each value and `blur` values on either side."""
    padded = [0.0] * blur + list(values) + [0.0] * blur
    total, means = sum(padded[: 2 * blur]), []
    for first in range(len(values)):
        total += padded[first + 2 * blur]
        means.append(total / (2 * blur + 1))
        total -= padded[first]
    return means


assert set(_SHADES) == {style.shade for style in CELL_STYLES.values() if style.shade}
