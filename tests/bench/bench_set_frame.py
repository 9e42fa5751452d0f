"""Time of one frame of the set page: the moving arm, beside a bare widget of its size.

Run: python -m tests.bench.bench_set_frame

Each is the processor time of one frame, median and worst of one way of the arm, and the median as a multiple of that
of a bare widget, all of whose rows change. Both are measured in turn, frame by frame. While the program counts in it
draws the frames of the way ahead: the last lines are what that takes of a frame of the count-in, twenty a second,
with each picture drawn a part at a time, as the program does, and with each at once; and such a frame with its page
worked out. At twenty frames a second one has 50 ms.
"""

import asyncio
import gc
import statistics
import tempfile
import time
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from msgspec.structs import replace
from rich.segment import Segment
from textual.app import App
from textual.strip import Strip
from textual.widget import Widget

from coach.drawing.cells import painter, picture
from coach.drawing.moving_arm import arm_scene
from coach.model.option_names import SignSetName
from coach.screens.client.page_types import SetPage
from coach.screens.client.session_app import FRAMES_PER_SECOND, SessionApp
from coach.screens.client.views.moving_views import SetView
from coach.screens.widgets.scene_view import SceneView
from tests.clocks import FakeClock
from tests.demo.pristine import copy_pristine
from tests.drawing.drawn_setups import setup_at
from tests.journeys.walk import let_pass, live, session_app, walk

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
    one = statistics.median(bare)
    times = f"{median / one:5.2f} times, worst {max(spent) / one:5.2f}" if spent is not bare else ""
    return f"  {name:24} {median:6.2f} median, {max(spent):6.2f} worst {times}".rstrip()


def _count_in(app: SessionApp, clock: FakeClock, bare: Bare, in_parts: bool) -> dict[str, list[float]]:
    """Every frame of the count-in up to the first movement, what is drawn ahead in it, and a bare frame beside it."""
    session, body = live(app), app.query_one(SetView)
    arm = body.query_one("#arm", SceneView)
    arm._frames.clear()
    for kept in (picture._layer, painter.paint_row, painter.ink_row):
        kept.cache_clear()
    spent: dict[str, list[float]] = {"bare": [], "drawn ahead": [], "with its page": []}
    while (moment := session.state.moment(session.now_s)) is not None and moment.phase == "count_in":
        clock.advance(1 / FRAMES_PER_SECOND)
        spent["bare"].append(_frame(bare, bare.another))
        begun = time.process_time()
        session.tick()
        page = app._page_of(session)
        assert isinstance(page, SetPage)
        made = time.process_time()
        if page.ahead is not None:
            arm.draw_ahead(page.ahead, page.ahead_part if in_parts else 1.0)
        drawn = time.process_time()
        body.show(replace(page, ahead=None))
        spent["drawn ahead"].append((drawn - made) * 1000)
        spent["with its page"].append((time.process_time() - begun) * 1000)
    return spent


async def _measure(size: tuple[int, int], signs: SignSetName) -> None:
    with tempfile.TemporaryDirectory() as folder:
        plain, bare = App[None](), Bare()
        counted: dict[str, dict[str, list[float]]] = {}
        async with plain.run_test(size=size) as plain_pilot:
            await plain.mount(bare)
            for in_parts in (True, False):
                clock, profiles = FakeClock(), copy_pristine(Path(folder) / str(in_parts))
                app = session_app(profiles / "tern", clock, signs=signs)
                async with app.run_test(size=size) as pilot:
                    await walk(pilot, app, clock, {}, lambda state: state.step.name == "set_1.work")
                    await let_pass(pilot, app, clock, 0.05)
                    arm = app.query_one("#arm", SceneView)
                    bare.styles.width, bare.styles.height = arm.size
                    await plain_pilot.pause()
                    gc.collect()
                    gc.freeze()  # as the program does once its first screen is shown
                    if in_parts:
                        print(f"{size[0]} x {size[1]}, {signs}, the arm {arm.size.width} x {arm.size.height}")
                        for scene in WAY:
                            arm.draw_ahead(scene)
                        spent: dict[str, list[float]] = {"bare": [], "first way": [], "the next": []}
                        for way in ("first way", "the next"):
                            for scene in WAY:
                                spent["bare"].append(_frame(bare, bare.another))
                                spent[way].append(_frame(arm, partial(arm.show, scene)))
                        for name, times in spent.items():
                            print(_told(name, times, spent["bare"]))
                    counted["in parts" if in_parts else "at once"] = _count_in(app, clock, bare, in_parts)
        for how, of_count_in in counted.items():
            for name, times in tuple(of_count_in.items())[1:]:
                print(_told(f"{name}, {how}", times, of_count_in["bare"]))


def main() -> None:
    """Print the table; ms of processor time."""
    for size in SIZES:
        for signs in SETS if size == (80, 24) else SETS[1:2]:
            asyncio.run(_measure(size, signs))


if __name__ == "__main__":
    main()
