"""The rest: seconds first, then what was done, then what comes; all of it in the smallest window."""

from pathlib import Path

import pytest

from coach.screens.widgets.bar import Bar
from coach.screens.widgets.big_text import BigText
from tests.clocks import FakeClock
from tests.journeys.walk import session_app, walk
from tests.screens.capture import as_text, runs


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40)])
async def test_what_matters_stands_first_and_all_of_it_is_seen(demo_profiles: Path, size: tuple[int, int]) -> None:
    clock = FakeClock()
    app = session_app(demo_profiles / "tern", clock)
    async with app.run_test(size=size) as pilot:
        await walk(pilot, app, clock, {}, lambda state: state.step.name == "set_1.rest")
        await pilot.pause()
        lines, number, bar = as_text(runs(app)).split("\n"), app.query_one(BigText).region, app.query_one(Bar).region
        at = {
            words: next(row for row, line in enumerate(lines) if words in line) for words in ("Set 1: 8", "Next: 8")
        }
        assert at["Set 1: 8"] < at["Next: 8"] < bar.y < size[1] - 1
        assert number.y <= at["Set 1: 8"]
        for cue in app.query("#large-cue"):
            assert cue.region.y > max(number.bottom, at["Next: 8"])
            assert cue.region.bottom < bar.y
            assert "Think of this" not in "\n".join(lines)
        assert app.query("#large-cue") or "Think of this" in "\n".join(lines)
