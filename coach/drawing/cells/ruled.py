"""Level and upright thin lines as box drawing characters: thinner than any part of a cell, and without gaps.

They lie in the middle of a cell, up to half a cell from where they are to scale; their length is right to a cell.
"""

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from coach.drawing.grid_fit import CELL_HEIGHT, GridFit
from coach.drawing.shapes import PagePoint, Role, Scene, Stroke

Place = tuple[int, int]
"""Row and column of a cell."""

RULED_ROLES: tuple[Role, ...] = ("ground", "measure")
_UP, _DOWN, _LEFT, _RIGHT = 1, 2, 4, 8
# By the directions in which a line leaves the middle of the cell.
_MEASURE = " ││││┘┐┤─└┌├─┴┬┼"
_DASHED: Mapping[str, str] = MappingProxyType({"│": "╎", "─": "╌"})


def ruled_cells(scene: Scene, fit: GridFit, columns: int, rows: int) -> dict[Place, tuple[str, Role]]:
    """The characters of all level and upright lines of a scene, by cell, with their role."""
    ways: dict[Place, int] = {}
    roles: dict[Place, Role] = {}
    for stroke in scene.strokes:
        if is_ruled(stroke):
            one, other = (_cell(fit.to_grid(point)) for point in sorted(stroke.points))
            for place, way in _line(one, other, stroke.role == "measure"):
                if 0 <= place[0] < rows and 0 <= place[1] < columns:
                    ways[place] = ways.get(place, 0) | way
                    if roles.get(place) != "measure":
                        roles[place] = stroke.role
    return {place: (_sign(way, roles[place]), roles[place]) for place, way in ways.items()}


def is_ruled(stroke: Stroke) -> bool:
    """Whether a stroke is a level or upright line of a role that is drawn with characters."""
    if stroke.role not in RULED_ROLES or len(stroke.points) != 2:
        return False
    (x, y), (other_x, other_y) = stroke.points
    return x == other_x or y == other_y


def _cell(point: PagePoint) -> Place:
    # A line on the border between two cells lies in one of them.
    return int((point[1] + 1e-6) // CELL_HEIGHT), int((point[0] + 1e-6) // 1)


def _line(one: Place, other: Place, with_ends: bool) -> Iterator[tuple[Place, int]]:
    """The cells of a line and the ways through each, with a short line across each end if wanted."""
    (row, column), (last_row, last_column) = one, other
    across = 0
    if row == last_row:
        low, high = sorted((column, last_column))
        places = [(row, at) for at in range(low, high + 1)]
        back, on, across = _LEFT, _RIGHT, _UP | _DOWN
    else:
        low, high = sorted((row, last_row))
        places = [(at, column) for at in range(low, high + 1)]
        back, on, across = _UP, _DOWN, _LEFT | _RIGHT
    for number, place in enumerate(places):
        first, last = number == 0, number == len(places) - 1
        way = (0 if first else back) | (0 if last else on)
        yield place, way | (across if with_ends and (first or last) else 0)


def _sign(way: int, role: Role) -> str:
    sign = _MEASURE[way]
    return _DASHED.get(sign, sign) if role == "ground" else sign
