"""Garbage collection that start-up defers is resumed once the first screen is shown."""

import gc
from pathlib import Path

import pytest

from coach.screens.gc_tuning import defer_gc
from tests.clocks import FakeClock
from tests.journeys.walk import session_app

Threshold = tuple[int, int, int]


@pytest.fixture
def usual() -> Threshold:
    return gc.get_threshold()


@pytest.fixture
def frozen(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """One entry for each time that what had been loaded was left out of collection."""
    times = list[int]()
    monkeypatch.setattr("coach.screens.gc_tuning.gc.freeze", lambda: times.append(len(times) + 1))
    return times


async def test_collection_is_as_usual_from_the_first_screen_on(
    usual: Threshold, frozen: list[int], demo_profiles: Path
) -> None:
    defer_gc()
    assert gc.get_threshold() != usual
    async with session_app(demo_profiles / "tern", FakeClock()).run_test() as pilot:
        await pilot.pause()
        assert gc.get_threshold() == usual
        assert len(frozen) == 1


async def test_collection_that_was_not_deferred_is_left_alone(
    usual: Threshold, frozen: list[int], demo_profiles: Path
) -> None:
    async with session_app(demo_profiles / "tern", FakeClock()).run_test() as pilot:
        await pilot.pause()
    assert (gc.get_threshold(), frozen) == (usual, [])
