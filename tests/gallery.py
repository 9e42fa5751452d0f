"""Every component that draws, on one page: drawings and plots in each set of signs, letters, a list, a meter, curves.

Run: python -m tests.gallery [--theme day] [--no-colour]

The page is printed in colour on a terminal, and as text into a pipe.
"""

import argparse
import asyncio
import os
import sys
from functools import partial
from typing import get_args

from rich.color import Color
from rich.console import Console
from rich.style import Style
from rich.text import Text
from textual.app import ComposeResult
from textual.containers import VerticalScroll

from coach.drawing.cells.setup_on_screen import arm_on_screen, place_on_screen
from coach.drawing.cells.signs import SIGN_SETS
from coach.drawing.lesson import lesson_scene
from coach.drawing.letter_shapes import DOTS_HIGH
from coach.drawing.moving_arm import arm_scene
from coach.drawing.plots.axes import numeric_axis
from coach.drawing.plots.plot import Line, Marks, Plot, Spread
from coach.drawing.plots.small_curve import small_bar, small_curve
from coach.drawing.shapes import LabelName, Scene
from coach.model.option_names import SignSetName, ThemeName
from coach.screens.base_app import BaseApp
from coach.screens.widgets.bar import Bar
from coach.screens.widgets.big_text import BigText
from coach.screens.widgets.line_list import LineList
from coach.screens.widgets.plot_view import PlotView
from coach.screens.widgets.scene_view import SceneView
from coach.screens.widgets.text import static_text
from tests.drawing.drawn_setups import setup_at
from tests.plans import shipped
from tests.screens.capture import Run, runs

_SETUP = setup_at("0", distance_cm=85)
_WORDS: dict[LabelName, str] = {
    "anchor": "anchor",
    "mark": "your mark",
    "distance": "85 cm on the floor",
    "place": "anchor, 105 cm high",
    "in_front": "start, in front of you",
    "line": "line",
    "height": "105 cm high",
    "facing": "you face this way",
    "start": "start",
    "end": "end",
    "part": "shoulder",
}
DRAWINGS: dict[str, tuple[Scene, int, int]] = {
    "A moving arm": (arm_scene(_SETUP, "right", 30.0, "from_above"), 44, 12),
    "Where to stand": (place_on_screen(_SETUP, "right"), 44, 19),
    "How to hold the arm": (arm_on_screen(_SETUP, "right"), 44, 19),
    "The right form": (lesson_scene(_SETUP, "right", 1.0, "shoulder_back", faulty=False), 38, 10),
    "A fault": (lesson_scene(_SETUP, "right", 1.0, "shoulder_back", faulty=True), 38, 10),
}
_WIDTH, _PLOT_ROWS = 60, 12
_LOADS, _PAINS = (1.0, 1.5, None, 2.5, 3.0, 4.0), (0, 2, None, 5, 3, 1)
_X = tuple(5.0 * number for number in range(13))
_AXES = numeric_axis((0, 15, 30, 45, 60), ""), numeric_axis((0, 1, 2, 3), "")
PLOTS: dict[str, Plot] = {
    "A plot: three curves and a spread": Plot(
        *_AXES,
        spreads=(Spread(tuple((x, 0.9 + x / 60, 1.3 + x / 40) for x in _X)),),
        lines=(
            Line(tuple((x, 0.7 + x / 60) for x in _X), "curve_dotted", "easier"),
            Line(tuple((x, 1.4 + x / 45) for x in _X), "curve_dashed", "harder"),
            Line(tuple((x, 1.1 + x / 50) for x in _X), "curve", "today"),
        ),
    ),
    "A plot: marks, filled and hollow": Plot(
        *_AXES,
        marks=(Marks(tuple((x, 1.0) for x in _X), "○"), Marks(((15.0, 2.0), (40.0, 3.0)), "●")),
    ),
}


def _always(plot: Plot, _: int, __: int) -> Plot:
    return plot


class GalleryApp(BaseApp):
    """All components below one another."""

    CSS_PATH = "../coach/screens/client/session.tcss"
    CSS = "LineList { height: 3; }"

    def __init__(self, theme: ThemeName, signs: SignSetName) -> None:
        super().__init__(theme, signs)

    def compose(self) -> ComposeResult:
        """Drawings, letters, list and meter, each under its name."""
        with VerticalScroll():
            for name, (scene, columns, rows) in DRAWINGS.items():
                yield static_text(f"{name}: {self.signs}", "list-title")
                view = SceneView(scene, _WORDS)
                view.styles.width, view.styles.height = columns, rows
                yield view
            yield static_text("Large letters", "list-title")
            yield BigText("OUT 2", DOTS_HIGH)
            yield static_text("A list", "list-title")
            yield LineList(id="list")
            yield static_text("A meter", "list-title")
            yield Bar(0.4)
            for name, plot in PLOTS.items():
                yield static_text(name, "list-title")
                shown = PlotView(partial(_always, plot))
                shown.styles.width, shown.styles.height = _WIDTH - 4, _PLOT_ROWS
                yield shown
            yield static_text("Small curves: load, pain, a week without; and a bar", "list-title")
            yield static_text(
                f"{small_curve(_LOADS, 1.0, 4.0, self.signs)}  {small_curve(_PAINS, 0, 10, self.signs)}"
            )
            yield static_text(small_bar(0.8, 10))

    def on_mount(self) -> None:
        """Fill the list."""
        self.query_one(LineList).show(
            [*"abcde", "the chosen line", "another line"], 5, shipped().messages.therapist.client_screen
        )


async def page(theme: ThemeName, signs: SignSetName) -> list[list[Run]]:
    """The page in one set of signs, row by row."""
    rows = sum(rows + 2 for _, _, rows in DRAWINGS.values()) + DOTS_HIGH + 18 + (_PLOT_ROWS + 2) * len(PLOTS)
    app = GalleryApp(theme, signs)
    async with app.run_test(size=(_WIDTH, rows)) as pilot:
        await pilot.pause()
        return runs(app)


def main() -> None:
    """Print the pages of all sets of signs."""
    parser = argparse.ArgumentParser(prog="python -m tests.gallery", description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("--theme", choices=get_args(ThemeName), default="dusk")
    parser.add_argument("--no-colour", action="store_true", help="as it is drawn where NO_COLOR is set")
    arguments = parser.parse_args()
    console = Console(file=sys.stdout, width=_WIDTH)
    for signs in SIGN_SETS:
        if arguments.no_colour:
            os.environ["NO_COLOR"] = "1"  # each app takes it out of the environment
        for row in asyncio.run(page(arguments.theme, signs)):
            console.print(Text.assemble(*((run.text, _style(run)) for run in row)))


def _style(run: Run) -> Style:
    ink, ground = (Color.from_rgb(*colour) for colour in (run.ink, run.ground))
    return Style(color=ink, bgcolor=ground, bold=run.bold)


if __name__ == "__main__":
    main()
