"""The lines of a PDF page as its own content says them, read with pypdf: nothing of our code is asked."""

from dataclasses import dataclass, field
from typing import Any

from pypdf import PageObject

Point = tuple[float, float]


@dataclass
class PdfLine:
    """A stroked path with its width and dashes, in points of the page."""

    points: list[Point]
    width: float
    dashed: bool


@dataclass
class _State:
    matrix: tuple[float, ...] = (1, 0, 0, 1, 0, 0)
    width: float = 1.0
    dashed: bool = False
    points: list[Point] = field(default_factory=list)


def stroked(page: PageObject) -> list[PdfLine]:
    """Every stroked path of straight lines, in the order of painting."""
    content = page.get_contents()
    assert content is not None
    found: list[PdfLine] = []
    now, kept = _State(), []
    for operands, operator in content.operations:
        numbers: list[Any] = list(operands)
        match operator:
            case b"q":
                kept.append(_State(now.matrix, now.width, now.dashed))
            case b"Q":
                now = kept.pop()
            case b"cm":
                now.matrix = _times([float(one) for one in numbers], now.matrix)
            case b"w":
                now.width = float(numbers[0])
            case b"d":
                now.dashed = bool(numbers[0])
            case b"gs":
                state = page["/Resources"]["/ExtGState"][numbers[0]]  # type: ignore[index]
                now.width = float(state.get("/LW", now.width))
            case b"m":
                now.points = [_at(now, numbers)]
            case b"l":
                now.points.append(_at(now, numbers))
            case b"S":
                found.append(PdfLine(now.points, now.width * abs(now.matrix[0]), now.dashed))
    return found


def _at(state: _State, numbers: list[Any]) -> Point:
    a, b, c, d, e, f = state.matrix
    x, y = float(numbers[0]), float(numbers[1])
    return a * x + c * y + e, b * x + d * y + f


def _times(one: list[float], other: tuple[float, ...]) -> tuple[float, ...]:
    a, b, c, d, e, f = one
    p, q, r, s, t, u = other
    return a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u
