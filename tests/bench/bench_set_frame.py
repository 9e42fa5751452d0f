"""Time of one frame of the set page: the moving arm, beside a bare widget of its size.

Run: python -m tests.bench.bench_set_frame

Each is the processor time of one frame, median and worst of one way of the arm, and the median as a multiple of that
of a bare widget, all of whose rows change. Both are measured in turn, frame by frame. While the program counts in it
draws the frames of the way ahead, one at a time: the last line is what that adds to a frame of the count. At twenty
frames a second one has 50 ms.
"""

import asyncio
import gc
import statistics
import tempfile
import time
from collections.abc import Callable, Sequence
from functools import partial
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

    def another(self) -> None:
        """Change the letter, as every frame does."""
        self.letter = chr(ord(self.letter) + 1)

    def render_line(self, y: int) -> Strip:  # noqa: ARG002
        """One row."""
        return Strip([Segment(self.letter * self.size.width, self.rich_style)], self.size.width)


def _frame(widget: Widget, change: Callable[[], object]) -> float:
    """Change a widget and compose what the terminal is sent; ms of the work of one frame."""
    begun = time.process_time()
    change()
    widget._styles_cache.clear()
    widget.render_lines(widget.region.reset_offset)
    return (time.process_time() - begun) * 1000


def _told(name: str, spent: Sequence[float], bare: Sequence[float]) -> str:
    median = statistics.median(spent)
    times = f"{median / statistics.median(bare):5.2f} times" if spent is not bare else ""
    return f"  {name:18} {median:6.2f} median, {max(spent):6.2f} worst {times}".rstrip()


async def _measure(size: tuple[int, int], signs: SignSetName) -> None:
    with tempfile.TemporaryDirectory() as folder:
        profiles, clock = copy_pristine(Path(folder) / "demo_profiles"), FakeClock()
        app, plain = session_app(profiles / "tern", clock, signs=signs), App[None]()
        async with app.run_test(size=size) as pilot, plain.run_test(size=size) as plain_pilot:
            await walk(pilot, app, clock, {}, lambda state: state.step.name == "set_1.work")
            await let_pass(pilot, app, clock, 11.0)
            arm, bare = app.query_one("#arm", SceneView), Bare()
            bare.styles.width, bare.styles.height = arm.size
            await plain.mount(bare)
            await plain_pilot.pause()
            print(f"{size[0]} x {size[1]}, {signs}, the arm {arm.size.width} x {arm.size.height}")
            gc.collect()
            gc.freeze()  # as the program does once its first screen is shown
            ahead = [_frame(arm, partial(arm.draw_ahead, scene)) for scene in WAY]
            spent: dict[str, list[float]] = {"bare": [], "first way": [], "the next": []}
            for way in ("first way", "the next"):
                for scene in WAY:
                    spent["bare"].append(_frame(bare, bare.another))
                    spent[way].append(_frame(arm, partial(arm.show, scene)))
            for name, times in spent.items():
                print(_told(name, times, spent["bare"]))
            print(_told("drawn ahead", ahead, spent["bare"]))


def main() -> None:
    """Print the table; ms of processor time."""
    for size in SIZES:
        for signs in SETS if size == (80, 24) else SETS[1:2]:
            asyncio.run(_measure(size, signs))


if __name__ == "__main__":
    main()
