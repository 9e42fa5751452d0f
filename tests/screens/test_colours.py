"""Colours of the therapist's pages and of plots, in every theme, for people who see fewer colours too."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from coach.drawing.cells.painter import SHARES, CellRole, Paint
from coach.screens.base_app import BaseApp
from coach.screens.theme import THEMES
from coach.screens.widgets.plot_view import PlotView
from tests.screens.capture import runs, without_drawings
from tests.screens.contrast import AA, AAA, Colour, contrast, least_contrast, seen
from tests.screens.therapist.therapist_pages import caseload_app, press, stop_the_clock

# WCAG 2.2, success criterion 1.4.11 Non-text Contrast.
NON_TEXT = 3.0
SPREAD = 1.5  # ours: a surface that is also told by its edges, and by its shade where there are few colours
ROLES: tuple[CellRole, ...] = ("curve", "curve_dashed", "curve_dotted", "label")
PAGES = (
    ("caseload", ""),
    ("client", "enter"),
    ("history", "h"),
    ("steering", "escape w"),
    ("form", "d"),
    ("preview", "escape escape p"),
    ("timeline", "t"),
)


@pytest.mark.parametrize(
    ("colour", "vision", "expected"),
    [
        ((255, 255, 255), "protanopia", (255, 255, 255)),
        ((128, 128, 128), "deuteranopia", (128, 128, 128)),
        ((0, 0, 0), "greyscale", (0, 0, 0)),
    ],
)
def test_greys_are_seen_alike_by_everybody(colour: Colour, vision: str, expected: Colour) -> None:
    assert seen(colour, vision) == pytest.approx(expected, abs=1)


def test_red_and_green_are_alike_for_whom_they_should_be() -> None:
    """A red and a green of one lightness to the eye without green cones: hue alone does not separate them."""
    red, green = (180, 80, 60), (122, 118, 60)
    one, other = seen(red, "deuteranopia"), seen(green, "deuteranopia")
    assert contrast(one, other) < 1.1
    assert max(abs(part - of_other) for part, of_other in zip(one, other, strict=True)) < 10


async def test_all_text_and_all_parts_of_plots_stand_out_for_everybody(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stop_the_clock(monkeypatch)
    app, pairs = caseload_app(demo_profiles), set[tuple[str, str, str, Colour, Colour]]()
    async with app.run_test(size=(120, 40)) as pilot:
        await press(pilot, *"heron")
        for page, keys in PAGES:
            await press(pilot, *keys.split())
            for theme in THEMES:
                pairs |= {(page, theme, *pair) for pair in await _pairs(app, pilot, theme)}
                for view in app.screen.query(PlotView):
                    _assert_parts_stand_out(view, theme)
    faint = [pair for pair in pairs if least_contrast(*pair[3:]) < (AAA if pair[1] == "contrast" else AA)]
    assert faint == []
    assert {page for page, *_ in pairs} == {page for page, _ in PAGES}


async def _pairs(app: BaseApp, pilot: Pilot[None], theme: str) -> set[tuple[str, Colour, Colour]]:
    """The pairs of colours of all text in view, with an example each."""
    app.theme = theme
    await pilot.pause()
    texts = [run for row in runs(app) for run in row if without_drawings(run.text).strip()]
    return {(run.text.strip()[:12], run.ink, run.ground) for run in texts}


def _assert_parts_stand_out(view: PlotView, theme: str) -> None:
    """A line from the ground and from the spread, and the spread from the ground."""
    spread, ground = view.colours_of(Paint("spread", "empty", SHARES, 0))
    assert least_contrast(spread, ground) >= SPREAD, theme
    for role in ROLES:
        line = view.colours_of(Paint(role))[0]
        for under in (spread, ground):
            assert least_contrast(line, under) >= NON_TEXT, f"{theme}: {role}"
