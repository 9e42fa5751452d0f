"""Time of one drawing, beside an empty one of the same size, and of one frame of the moving arm.

Run: python tests/bench/bench_drawing.py

A frame at 20 frames a second has 50 ms; the drawing should take less than 10 of them.
"""

import sys
import timeit
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from coach.drawing.large_letters import large_text
from coach.drawing.moving_arm import arm_scene, best_viewpoint
from coach.drawing.paper import stacked
from coach.drawing.raster import raster
from coach.drawing.scene import from_above, from_the_side
from coach.drawing.shapes import Scene
from coach.drawing.svg import svg_page
from tests.drawing.drawn_setups import setup_at

EMPTY = Scene((), (), (0.0, 0.0), (1.0, 1.0))
SIZES = ((60, 20), (80, 24), (120, 40))


def best_ms(work: Callable[[], object]) -> float:
    """The best of five rounds, in milliseconds a call."""
    return min(timeit.repeat(work, number=20, repeat=5)) / 20 * 1000


def on_paper() -> str:
    """One view as a document."""
    return svg_page(stacked((from_above(setup_at("0"), "right"),), 170, 110), ("from above",), "setup")


def main() -> None:
    """Print the table."""
    for columns, rows in SIZES:
        empty_ms = best_ms(lambda: raster(EMPTY, columns, rows))  # noqa: B023  # called at once
        print(f"{columns} x {rows}: empty {empty_ms:.2f} ms")
        for position in ("0", "45", "90"):
            setup = setup_at(position)
            view = best_viewpoint(setup)
            works: dict[str, Callable[[], object]] = {
                "frame": lambda: raster(arm_scene(setup, "right", 30.0, view), columns, rows),  # noqa: B023
                "from above": lambda: raster(from_above(setup, "right"), columns, rows),  # noqa: B023
                "from the side": lambda: raster(from_the_side(setup, "right"), columns, rows),  # noqa: B023
            }
            for name, work in works.items():
                spent_ms = best_ms(work)
                print(f"  {position:2} deg {name:14} {spent_ms:6.2f} ms, {spent_ms / empty_ms:5.1f} x an empty one")
    print(f"large letters, HOLD 12: {best_ms(lambda: large_text('HOLD 12', 14)):.3f} ms")
    print(f"on paper: {best_ms(on_paper):.2f} ms")


if __name__ == "__main__":
    main()
