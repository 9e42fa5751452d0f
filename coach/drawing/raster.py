"""A scene as rows of text for a terminal, with two colours a cell or with signs alone, and with its labels."""

from collections.abc import Callable, Generator, Iterable, Mapping, Sequence
from functools import lru_cache
from itertools import groupby
from operator import attrgetter
from typing import Generic, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from coach.drawing.cells.numbers import large_blocks
from coach.drawing.cells.painter import CellRole, Paint, ink_row, paint_row
from coach.drawing.cells.picture import RowLayers, in_one_go, picture_in_steps
from coach.drawing.cells.ruled import is_ruled, ruled_cells
from coach.drawing.cells.signs import QUADRANTS, SignSet
from coach.drawing.coverage import scene_coverage
from coach.drawing.grid_fit import GridFit, fit_to_grid
from coach.drawing.labels import PlacedLabel, place_labels
from coach.drawing.line_styles import SURFACES
from coach.drawing.shapes import NO_LABEL_TEXTS, LabelName, Scene

TextRun = tuple[str, CellRole]
TextRow = tuple[TextRun, ...]
PaintedRow = tuple[tuple[str, Paint], ...]
_Style = TypeVar("_Style", CellRole, Paint)

# What a line drawn with characters goes over; every other line goes over it.
_CROSSED = SURFACES | {"empty"}


class _Way(Struct, Generic[_Style], frozen=True):
    """How the cells of a picture are drawn: one row of them, and the styles that stand for roles."""

    row: Callable[[RowLayers, SignSet], Iterable[tuple[int, tuple[str, _Style]]]]
    empty: _Style
    label: _Style
    role_of: Callable[[_Style], CellRole]
    of_role: Callable[[CellRole], _Style]


def _same(role: CellRole) -> CellRole:
    return role


_WITH_SIGNS = _Way[CellRole](ink_row, "empty", "label", _same, _same)
_WITH_COLOURS = _Way[Paint](paint_row, Paint("empty"), Paint("label"), attrgetter("over"), Paint)


def raster(
    scene: Scene,
    columns: int,
    rows: int,
    words: Mapping[LabelName, str] = NO_LABEL_TEXTS,
    signs: SignSet = QUADRANTS,
    large: bool = False,
) -> tuple[TextRow, ...]:
    """Draw a scene to scale in `rows` rows of `columns` cells; each row is a tuple of texts with their role.

    `words` gives the texts of labels: a label without one shows its name, one with an empty text is left out. With
    `large` the numbers of a setup are large where there is room. Raises ValueError for a grid without cells.
    """
    return in_one_go(raster_in_steps(scene, columns, rows, words, signs, large))


def painted(
    scene: Scene,
    columns: int,
    rows: int,
    words: Mapping[LabelName, str] = NO_LABEL_TEXTS,
    signs: SignSet = QUADRANTS,
    large: bool = False,
) -> tuple[PaintedRow, ...]:
    """Draw a scene like `raster`, with two colours a cell."""
    return in_one_go(painted_in_steps(scene, columns, rows, words, signs, large))


def raster_in_steps(
    scene: Scene,
    columns: int,
    rows: int,
    words: Mapping[LabelName, str] = NO_LABEL_TEXTS,
    signs: SignSet = QUADRANTS,
    large: bool = False,
) -> Generator[None, None, tuple[TextRow, ...]]:
    """Draw a scene like `raster`, a layer or a row a step: `steps_of` says how many there are."""
    return _in_steps(_WITH_SIGNS, scene, columns, rows, words, signs, large)


def painted_in_steps(
    scene: Scene,
    columns: int,
    rows: int,
    words: Mapping[LabelName, str] = NO_LABEL_TEXTS,
    signs: SignSet = QUADRANTS,
    large: bool = False,
) -> Generator[None, None, tuple[PaintedRow, ...]]:
    """Draw a scene like `painted`, a layer or a row a step."""
    return _in_steps(_WITH_COLOURS, scene, columns, rows, words, signs, large)


def _in_steps(
    way: _Way[_Style],
    scene: Scene,
    columns: int,
    rows: int,
    words: Mapping[LabelName, str],
    signs: SignSet,
    large: bool,
) -> Generator[None, None, tuple[tuple[tuple[str, _Style], ...], ...]]:
    fit = fit_to_grid(scene, columns, rows)
    picture = yield from picture_in_steps(scene, fit, columns, rows, signs)
    grid: list[list[tuple[str, _Style]]] = []
    for row in range(rows):
        yield
        cells = [(" ", way.empty)] * columns
        for column, drawn in way.row(picture.row(row), signs):
            cells[column] = drawn
        grid.append(cells)
    yield
    for (row, column), (sign, role) in ruled_cells(scene, fit, columns, rows).items():
        if way.role_of(grid[row][column][1]) in _CROSSED:
            grid[row][column] = (sign, way.of_role(role))
    _put_labels(grid, scene, words, fit, way.label, large)
    return tuple(_runs(cells) for cells in grid)


def steps_of(scene: Scene, rows: int) -> int:
    """How many steps it takes to draw a scene in so many rows: its layers, its rows, and what goes over them."""
    return 2 * len({stroke.role for stroke in scene.strokes if not is_ruled(stroke)}) + rows + 1


def plain_rows(
    scene: Scene, columns: int, rows: int, words: Mapping[LabelName, str] = NO_LABEL_TEXTS
) -> tuple[str, ...]:
    """Draw a scene like `raster`, as text without roles."""
    return tuple("".join(text for text, _ in row) for row in raster(scene, columns, rows, words))


def _put_labels(
    grid: list[list[tuple[str, _Style]]],
    scene: Scene,
    words: Mapping[LabelName, str],
    fit: GridFit,
    style: _Style,
    large: bool,
) -> None:
    """Write the labels over the cells. A text is whole in its first cell; the other cells that it takes are empty."""
    if not scene.labels:
        return
    rows, columns = len(grid), len(grid[0])
    around = replace(scene, strokes=scene.in_the_way or scene.strokes)
    for label in _placed(around, tuple(words.items()), fit, (columns, rows), large):
        for down, text in enumerate(label.block or (label.text,)):
            cells = grid[label.row + down]
            cells[label.column] = (text, style)
            for column in range(label.column + 1, label.column + label.cell_width):
                cells[column] = ("", style)


# A moving drawing has the same `in_the_way` in every frame, so its labels are placed once and do not move.
@lru_cache(maxsize=32)
def _placed(
    scene: Scene, words: tuple[tuple[LabelName, str], ...], fit: GridFit, size: tuple[int, int], large: bool
) -> tuple[PlacedLabel, ...]:
    columns, rows = size
    texts = dict(words)
    blocks = large_blocks(texts) if large else {}
    return place_labels(scene.labels, texts, fit, scene_coverage(scene, fit, columns, rows), columns, rows, blocks)


def _runs(cells: Sequence[tuple[str, _Style]]) -> tuple[tuple[str, _Style], ...]:
    """Join neighbouring cells of one style."""
    return tuple(
        ("".join(text for text, _ in group), style) for style, group in groupby(cells, key=lambda cell: cell[1])
    )
