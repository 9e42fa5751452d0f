"""The therapist's pages as text at two sizes on one fixed day, and the pictures of them that `pictures.py` lists.

After an intended change: pytest tests/screens/therapist --snapshot-update, then look at the difference.
"""

from collections.abc import Awaitable, Callable
from functools import partial
from pathlib import Path

import pytest
from syrupy.assertion import SnapshotAssertion
from textual.pilot import Pilot
from textual.widgets import Input

from coach.commands.support.report_factories import PREVIEW_REPORTS
from coach.screens.therapist.intake_screen import IntakeScreen
from coach.screens.therapist.preview_screen import PreviewScreen
from coach.screens.therapist.therapist_app import TherapistApp
from coach.screens.widgets.form import InputForm
from tests.plans import next_plan, shipped
from tests.screens.pictures import Size
from tests.screens.therapist.new_client import TYPED
from tests.screens.therapist.therapist_pages import (
    NOW,
    SIZES,
    PageRecorder,
    assert_pages_as_kept,
    caseload_app,
    press,
    stop_the_clock,
)

_REPORT_KEYS = {"decisions": "d", "setup": "s", "history": "h", "steering": "w"}


@pytest.fixture(autouse=True)
def _one_day(monkeypatch: pytest.MonkeyPatch) -> None:
    stop_the_clock(monkeypatch)


async def _caseload(folder: Path, size: Size, pages: PageRecorder) -> None:
    """The caseload with a client whose file is wrong, and the pages of a client."""
    async with caseload_app(folder).run_test(size=size) as pilot:
        await pages.see("01-caseload", pilot)
        await pages.see("02-broken-client", pilot, "enter")
        await pages.see("03-found", pilot, "escape", *"internal")
        await pages.see("04-nobody", pilot, *"zz")
        await pages.see("05-by-client", pilot, "escape", "tab")
        await pages.see("06-client", pilot, *"plover", "enter")
        for name, key in _REPORT_KEYS.items():
            await pages.see(f"07-{name}", pilot, key)
            await press(pilot, "escape")


async def _preview(folder: Path, size: Size, pages: PageRecorder) -> None:
    """The first page of each kind, then pages after another answer."""
    screen = PreviewScreen((next_plan(folder / "plover"),), NOW, PREVIEW_REPORTS)
    async with TherapistApp(screen).run_test(size=size) as pilot:
        await press(pilot)
        kinds: set[str] = set()
        for number, stop in enumerate(screen._entries):
            kind = stop.name.rpartition(".")[2]
            if kind not in kinds:
                kinds.add(kind)
                screen._index = max(number - 1, 0)
                await pages.see(f"{number:02}-{kind}", pilot, *["right"] * min(number, 1))
        await pages.see("what-if", pilot, "home", "right", "right", "3")
        await pages.see("the-clients-key", pilot, "p")
        await pages.see("what-if-compared", pilot, "c")
        await pages.see("what-if-timeline", pilot, "escape", "t")


async def _charts(folder: Path, size: Size, pages: PageRecorder) -> None:
    async with caseload_app(folder).run_test(size=size) as pilot:
        await pages.see("chart-1", pilot, *"heron", "enter", "g")
        for number in range(2, 9):
            await pages.see(f"chart-{number}", pilot, "right")


async def _intake(_: Path, size: Size, pages: PageRecorder) -> None:
    """From the empty form, with a wrong entry, to the question before it is saved."""
    async with TherapistApp(IntakeScreen(Path("wren"), shipped(), NOW.date())).run_test(size=size) as pilot:
        await pages.see("01-empty", pilot)
        await pages.see("02-wrong", pilot, "down", "down", "9")
        await pages.see("03-leave", pilot, "escape")
        await press(pilot, "n")
        _fill_in(pilot)
        await pages.see("04-exercise", pilot, "end")
        await pages.see("05-measured", pilot, *["down"] * 18)
        await pages.see("06-save", pilot, "ctrl+s")


def _fill_in(pilot: Pilot[None]) -> None:
    form = pilot.app.screen.query_one(InputForm)
    for field, entry in form._entries():
        if field.key in TYPED:
            entry.value = TYPED[field.key]
    form.focus_field("prescription.exercise")
    assert isinstance(pilot.app.focused, Input)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("visit", [_caseload, _preview, _charts, _intake], ids=lambda visit: visit.__name__[1:])
async def test_pages(
    demo_profiles: Path,
    size: Size,
    visit: Callable[[Path, Size, PageRecorder], Awaitable[None]],
    snapshot: SnapshotAssertion,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    torn = demo_profiles / "finch"
    torn.mkdir()
    (torn / "profile.toml").write_text("nonsense", encoding="utf-8")
    series = visit.__name__.removeprefix("_")
    await assert_pages_as_kept(series, partial(visit, demo_profiles, size), size, snapshot, monkeypatch)
