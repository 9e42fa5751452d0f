"""The therapist's pages as text and as pictures, at two sizes, in colour and without, on one fixed day.

After a wished change: pytest tests/screens/therapist --snapshot-update, and look at the pictures.
"""

from collections.abc import Awaitable, Callable
from functools import partial
from pathlib import Path

import pytest
from syrupy.assertion import SnapshotAssertion
from textual.pilot import Pilot
from textual.widgets import Input

from coach.commands.support.loading import plan_of
from coach.commands.support.report_factories import PREVIEWS
from coach.screens.therapist.intake_screen import IntakeScreen
from coach.screens.therapist.preview_screen import PreviewScreen
from coach.screens.therapist.therapist_app import TherapistApp
from coach.screens.widgets.form import Form
from tests.plans import shipped
from tests.screens.therapist.new_client import TYPED
from tests.screens.therapist.therapist_pages import (
    NOW,
    SIZES,
    Pages,
    assert_kept,
    caseload_app,
    keep,
    press,
    stop_the_clock,
)

Size = tuple[int, int]
_LOOKS = {"decisions": "d", "setup": "s", "history": "h", "steering": "w"}


@pytest.fixture(autouse=True)
def _one_day(monkeypatch: pytest.MonkeyPatch) -> None:
    stop_the_clock(monkeypatch)


async def _caseload(folder: Path, size: Size) -> Pages:
    """The caseload with a client whose file is wrong, and the pages of a client."""
    pages: Pages = {}
    async with caseload_app(folder).run_test(size=size) as pilot:

        async def see(name: str, *keys: str) -> None:
            await press(pilot, *keys)
            keep(pages, name, pilot)

        await see("01-caseload")
        await see("02-broken-client", "enter")
        await see("03-found", "escape", *"internal")
        await see("04-nobody", *"zz")
        await see("05-by-client", "escape", "tab")
        await see("06-client", *"plover", "enter")
        for name, key in _LOOKS.items():
            await see(f"07-{name}", key)
            await press(pilot, "escape")
    return pages


async def _preview(folder: Path, size: Size) -> Pages:
    """The first page of each kind, then what if."""
    pages: Pages = {}
    screen = PreviewScreen(plan_of(folder / "plover"), NOW, PREVIEWS)
    async with TherapistApp(screen).run_test(size=size) as pilot:
        await press(pilot)
        kinds: set[str] = set()
        for number, stop in enumerate(screen._stops):
            kind = stop.place.rpartition(".")[2]
            if kind not in kinds:
                kinds.add(kind)
                screen._here = max(number - 1, 0)
                await press(pilot, *["right"] * min(number, 1))
                keep(pages, f"{number:02}-{kind}", pilot)
        await press(pilot, "home", "right", "right", "3")
        keep(pages, "what-if", pilot)
        await press(pilot, "p")
        keep(pages, "the-clients-key", pilot)
        await press(pilot, "c")
        keep(pages, "what-if-compared", pilot)
        await press(pilot, "escape", "t")
        keep(pages, "what-if-timeline", pilot)
    return pages


async def _pictures(folder: Path, size: Size) -> Pages:
    pages: Pages = {}
    async with caseload_app(folder).run_test(size=size) as pilot:
        await press(pilot, *"heron", "enter", "g")
        for number in range(1, 9):
            keep(pages, f"picture-{number}", pilot)
            await press(pilot, "right")
    return pages


async def _intake(_: Path, size: Size) -> Pages:
    """From the empty form over something wrong to the question before it is saved."""
    pages: Pages = {}
    async with TherapistApp(IntakeScreen(Path("wren"), shipped(), NOW.date())).run_test(size=size) as pilot:

        async def see(name: str, *keys: str) -> None:
            await press(pilot, *keys)
            keep(pages, name, pilot)

        await see("01-empty")
        await see("02-wrong", "down", "down", "1", "6", "8")
        await see("03-leave", "escape")
        await press(pilot, "n")
        _fill_in(pilot)
        await see("04-exercise", "end")
        await see("05-measured", *["down"] * 18)
        await see("06-save", "ctrl+s")
    return pages


def _fill_in(pilot: Pilot[None]) -> None:
    form = pilot.app.screen.query_one(Form)
    for field, entry in form._entries():
        if field.key in TYPED:
            entry.value = TYPED[field.key]
    form.focus_field("prescription.exercise")
    assert isinstance(pilot.app.focused, Input)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("drawn", [_caseload, _preview, _pictures, _intake], ids=lambda drawn: drawn.__name__[1:])
async def test_pages(
    demo_profiles: Path,
    size: Size,
    drawn: Callable[[Path, Size], Awaitable[Pages]],
    snapshot: SnapshotAssertion,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    torn = demo_profiles / "finch"
    torn.mkdir()
    (torn / "profile.toml").write_text("nonsense", encoding="utf-8")
    await assert_kept(partial(drawn, demo_profiles, size), snapshot, monkeypatch)
