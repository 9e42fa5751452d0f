"""Contrast of the colours as drawn, on every screen in every theme, for everybody; no text depends on the theme."""

from pathlib import Path
from typing import get_args

import pytest
from textual.pilot import Pilot

from coach.drawing.cells.painter import SHARES, Paint
from coach.model import step_names
from coach.model.option_names import ThemeName
from coach.screens.client.key_bindings import ALL_BINDINGS, MAX_BINDINGS_SHOWN, THEME
from coach.screens.client.session_app import SessionApp
from coach.screens.theme import THEMES, next_theme
from coach.screens.widgets.scene_view import SceneView
from tests.clocks import FakeClock
from tests.journeys.walk import session_app, walk
from tests.screens.capture import as_text, is_drawing, runs
from tests.screens.contrast import AA, AAA, contrast, least_contrast
from tests.screens.gallery import each_screen


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ((0, 0, 0), (255, 255, 255), 21.0),
        ((255, 255, 255), (255, 255, 255), 1.0),
        ((118, 118, 118), (255, 255, 255), 4.54),
    ],
)
def test_the_formula_gives_known_values(one: tuple[int, int, int], other: tuple[int, int, int], ratio: float) -> None:
    """#767676 on white is the lightest grey that passes AA: W3C, Understanding SC 1.4.3 (from memory)."""
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)


async def test_all_text_stands_out_on_every_screen_in_every_theme(demo_profiles: Path) -> None:
    faint: set[str] = set()

    async def look(name: str, app: SessionApp, pilot: Pilot[None]) -> None:
        texts = set()
        for theme in THEMES:
            app.theme = theme
            await pilot.pause()
            rows = runs(app)
            texts.add(as_text(rows))
            least = AAA if theme == "contrast" else AA
            for run in (run for row in rows for run in row if run.text.strip() and not is_drawing(run.text)):
                ratio = least_contrast(run.ink, run.ground)
                if ratio < least:
                    faint.add(f"{theme} {name}: {run.text.strip()[:20]!r} {run.ink} on {run.ground}: {ratio:.2f}")
        assert len(texts) == 1, f"{name} says something else in another theme"

    await each_screen(demo_profiles, (80, 24), look)
    assert faint == set()


async def test_the_parts_of_a_drawing_stand_out_from_the_ground_and_from_the_body(demo_profiles: Path) -> None:
    """WCAG 2.2, success criterion 1.4.11 Non-text Contrast: 3 to 1. The body is the ground of the arm, so less."""
    clock = FakeClock()
    app = session_app(demo_profiles / "tern", clock)
    async with app.run_test(size=(80, 24)) as pilot:
        await walk(pilot, app, clock, {}, lambda state: state.step.name == step_names.PLACE)
        await pilot.pause()
        view = app.query_one(SceneView)
        for theme in THEMES:
            app.theme = theme
            await pilot.pause()
            body = Paint("trunk", "empty", SHARES, 0)
            ground = view.colours_of(body)[1]
            assert contrast(*view.colours_of(body)) >= 2, theme
            for role in ("arm_now", "band_now", "measure", "facing", "mark", "anchor"):
                for under in (ground, view.colours_of(body)[0]):
                    drawn = view.colours_of(Paint(role))[0]
                    assert least_contrast(drawn, under) >= 3, f"{theme}: {role}"


async def test_the_key_goes_round_the_themes_and_the_option_chooses_one(demo_profiles: Path) -> None:
    app = session_app(demo_profiles / "tern", FakeClock(), theme="day")
    async with app.run_test(size=(80, 24)) as pilot:
        seen = [app.theme]
        for _ in THEMES:
            await pilot.press("enter" if len(seen) == 1 else "t", *(["t"] if len(seen) == 1 else []))
            seen.append(app.theme)
    assert seen == ["day", "contrast", "dusk", "day"]


def test_every_theme_has_a_name_that_profiles_may_use() -> None:
    assert tuple(THEMES) == get_args(ThemeName)
    assert next_theme("unheard_of") == "dusk"


def test_the_theme_key_is_no_other_key() -> None:
    assert [command for command in ALL_BINDINGS if command.key == THEME.key] == [THEME]
    assert MAX_BINDINGS_SHOWN == 5
