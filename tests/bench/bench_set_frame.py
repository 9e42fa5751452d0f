"""Time of one frame of the set page: the moving arm, on its first way and on the next.

Run: python -m tests.bench.bench_set_frame

Each is the processor time of one frame, median and worst of one way of the arm. A bare widget of the size of the arm,
all of whose rows change, is the measure beside it. At ten frames a second one has 100 ms.
"""

import asyncio
import statistics
import tempfile
import time
from collections.abc import Callable, Iterable
from pathlib import Path

from rich.segment import Segment
from textual.app import App
from textual.strip import Strip
from textual.widget import Widget

from coach.drawing.moving_arm import arm_scene
from coach.model.option_names import SignSetName
from coach.screens.widgets.scene_view import SceneView
from tests.clocks import FakeClock
from tests.demo.pristine import copy_pristine
from tests.drawing.drawn_setups import setup_at
from tests.journeys.walk import let_pass, session_app, walk

SIZES = ((60, 20), (80, 24), (120, 40))
SETS: tuple[SignSetName, ...] = ("halves", "quadrants", "sextants", "octants")
WAY = [arm_scene(setup_at("0"), "right", -40 + step * 1.5, "from_above") for step in range(60)]


class Bare(Widget):
    """One letter in every cell, another one in each frame."""

    letter = "a"

    def render_line(self, y: int) -> Strip:  # noqa: ARG002
        """One row."""
        return Strip([Segment(self.letter * self.size.width, self.rich_style)], self.size.width)


def _spent_ms(frames: Iterable[Callable[[], object]]) -> str:
    spent = []
    for frame in frames:
        begun = time.process_time()
        frame()
        spent.append((time.process_time() - begun) * 1000)
    return f"{statistics.median(spent):6.2f} median, {max(spent):6.2f} worst"


def _frame(widget: Widget, change: Callable[[], object]) -> Callable[[], object]:
    """Change a widget and compose what the terminal is sent: the work of one frame."""

    def work() -> object:
        change()
        widget._styles_cache.clear()
        return widget.render_lines(widget.region.reset_offset)

    return work


async def _measure_bare(size: tuple[int, int]) -> None:
    app: App[None] = App()
    async with app.run_test(size=size) as pilot:
        bare = Bare()
        bare.styles.width, bare.styles.height = size
        await app.mount(bare)
        await pilot.pause()

        def another() -> None:
            bare.letter = chr(ord(bare.letter) + 1)

        print(f"  bare widget        {_spent_ms(_frame(bare, another) for _ in WAY)}")


async def _measure(size: tuple[int, int], signs: SignSetName) -> None:
    with tempfile.TemporaryDirectory() as folder:
        profiles, clock = copy_pristine(Path(folder) / "demo_profiles"), FakeClock()
        app = session_app(profiles / "tern", clock, signs=signs)
        async with app.run_test(size=size) as pilot:
            await walk(pilot, app, clock, {}, lambda state: state.step.name == "set_1.work")
            await let_pass(pilot, app, clock, 11.0)
            arm = app.query_one("#arm", SceneView)
            print(f"{size[0]} x {size[1]}, {signs}, the arm {arm.size.width} x {arm.size.height}")
            await _measure_bare(arm.size)
            for name in ("first way", "the next"):
                steps = (_frame(arm, lambda scene=scene: arm.show(scene)) for scene in WAY)  # type: ignore[misc]
                print(f"  {name:18} {_spent_ms(steps)}")


def main() -> None:
    """Print the table; ms of processor time."""
    for size in SIZES:
        for signs in SETS if size == (80, 24) else SETS[1:2]:
            asyncio.run(_measure(size, signs))


if __name__ == "__main__":
    main()
