"""The phase word, the count and the repetition can be read from three metres away, at every size."""

import math
from pathlib import Path

import pytest

from coach.screens.widgets.big_text import BigText
from coach.session.script import Work
from tests.clocks import FakeClock
from tests.journeys.walk import let_pass, session_app, walk
from tests.screens.gallery import SIZES, Size
from tests.screens.legibility import AWAY_M, COMFORTABLE_MIN, DIAGONAL_M, LEAST_MIN, angular_size

# The widest letter of the set is five dots wide.
_DOTS = 5


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("client", ["tern", "avocet"])
async def test_the_large_letters_are_comfortable_at_three_metres(
    demo_profiles: Path, client: str, size: Size
) -> None:
    """With the words of either exercise."""
    clock = FakeClock()
    app = session_app(demo_profiles / client, clock)
    async with app.run_test(size=size) as pilot:
        await walk(pilot, app, clock, {}, lambda state: isinstance(state.step, Work))
        await let_pass(pilot, app, clock, 24.0)
        for name in ("#word", "#count", "#repetition"):
            letters = app.query_one(name, BigText)
            rows = len(letters._drawn)
            assert rows >= (10 if size[1] >= 40 else 7)
            letter = angular_size(rows, _DOTS * (letters._dot_columns or 2), *size)
            assert letter.high_min > 2 * COMFORTABLE_MIN
            assert letter.wide_min > LEAST_MIN
            region, whole = letters.region, app.screen.region
            assert whole.contains_region(region)
            assert region.height == rows
        regions = [app.query_one(name).region for name in ("#word", "#count", "#repetition", "#arm", "#cue", "#dots")]
        assert all(not one.overlaps(other) for number, one in enumerate(regions) for other in regions[:number])


def test_the_angle_is_that_of_a_screen_seen_whole() -> None:
    """A letter as high as the screen: half its height over the distance, twice. The small angle is near enough."""
    high_m = DIAGONAL_M * 9 / math.sqrt(16**2 + 9**2)
    assert high_m == pytest.approx(0.174, abs=0.001)
    angle_min = 2 * math.degrees(math.atan(high_m / 2 / AWAY_M)) * 60
    assert angular_size(24, 80, 80, 24).high_min == pytest.approx(angle_min, rel=0.01)
