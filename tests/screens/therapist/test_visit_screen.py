"""A visit on screen: filled in, compared, signed; the keys are counted, and what is typed is never lost."""

from functools import partial
from pathlib import Path

import pytest
from syrupy.assertion import SnapshotAssertion
from textual.pilot import Pilot
from textual.widgets import Input

from coach.commands.support.visiting import visit_screen
from coach.screens.therapist.therapist_app import TherapistApp
from coach.screens.therapist.visit.visit_screen import VisitScreen
from coach.screens.widgets.form import InputForm
from coach.store.client_folder import read_client_folder
from coach.store.therapist.visit_draft import read_draft
from tests.plans import shipped
from tests.screens.therapist.therapist_pages import SIZES, PageRecorder, assert_pages_as_kept, press, stop_the_clock

# 40 words of five letters a minute: a common speed at a keyboard (common practice, no source).
_KEYS_A_MINUTE = 200
# A whole visit of a client of one exercise: both sides measured, judged, watched, agreed, the next one set.
TYPED = {
    "ranges.external.0.right.active_deg": "75",
    "ranges.external.0.right.passive_deg": "82",
    "strengths.external.0.right.force_n": "58",
    "strengths.external.0.right.pain": "2",
    "strengths.external.0.left.force_n": "74",
    "strengths.external.0.left.lever_m": "0.24",
    "strengths.external.0.left.pain": "0",
    "irritability": "l",
    "form.external_rotation.blade": "0",
    "form.external_rotation.elbow": "1",
    "form.external_rotation.range": "0",
    "goals.1.what": "wedge clay",
    "goals.1.measure": "minutes without a break",
    "goals.1.today": "10",
    "goals.1.target": "30",
    "goals.1.by": "2027-01-31",
    "note": "sleeps on that side again; works half days since last week",
    "agreed": "three days a week, wedging by hand on two of them",
    "next_visit": "2026-12-16",
    "initials": "KB",
}


@pytest.fixture(autouse=True)
def _one_day(monkeypatch: pytest.MonkeyPatch) -> None:
    stop_the_clock(monkeypatch)


def app_of(client: Path) -> tuple[TherapistApp, VisitScreen]:
    screen = visit_screen(client, shipped())
    return TherapistApp(screen), screen


def letters(text: str) -> list[str]:
    """Keys as the pilot names them."""
    names = {" ": "space", ".": "full_stop", "-": "minus", ",": "comma", ";": "semicolon"}
    return [names.get(letter, letter) for letter in text]


async def go_to(pilot: Pilot[None], screen: VisitScreen, key: str) -> None:
    screen.query_one(InputForm).focus_field(key)
    await press(pilot)


async def test_a_visit_at_the_keyboard_in_under_three_minutes(demo_profiles: Path) -> None:
    """Every key counts: each letter, enter for each field to the last, and the signature."""
    client = demo_profiles / "tern"
    app, screen = app_of(client)
    keys = len(f"coach visit {client.name}\n")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        fields = [one for one in screen._fields if one.key]
        assert TYPED.keys() <= {one.key for one in fields}
        for field in fields:
            entry = app.focused
            assert isinstance(entry, Input)
            if field.key in TYPED:
                entry.value = TYPED[field.key]
                keys += len(TYPED[field.key])
            if field is not fields[-1]:
                await pilot.press("enter")
                keys += 1
        shown = " ".join((await press(pilot, "ctrl+s")).split())
        assert "beyond the error of 5 degrees" in shown
        await pilot.press("y")
        await press(pilot)
        keys += 2
    assert keys / _KEYS_A_MINUTE < 3, keys
    (visit,) = read_client_folder(client).visits
    assert (visit.ranges[0].active_deg, visit.ranges[0].passive_deg) == (75, 82)
    assert [(one.side, one.force_n, one.lever_m, one.pain) for one in visit.strengths] == [
        ("right", 58, 0.24, 2),
        ("left", 74, 0.24, 0),
    ]
    assert (visit.irritability, visit.goals[0].target, visit.initials) == ("low", 30, "KB")
    assert [(one.question, one.seen) for one in visit.form] == [
        ("blade", "never"),
        ("elbow", "once"),
        ("range", "never"),
    ]
    assert read_draft(client) is None


async def test_what_was_typed_is_here_again_after_leaving(demo_profiles: Path) -> None:
    client = demo_profiles / "plover"
    app, screen = app_of(client)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, *letters("70"))
        await go_to(pilot, screen, "note")
        await press(pilot, *letters("less wary"), "escape")
    assert read_client_folder(client).visits == ()
    app, screen = app_of(client)
    async with app.run_test(size=(80, 24)) as pilot:
        assert "not signed yet: it is here again" in await press(pilot)
        values = screen.query_one(InputForm).values
        assert (values["ranges.external.0.right.active_deg"], values["note"]) == ("70", "less wary")
        await press(pilot, "f8", "y")
    assert read_draft(client) is None


async def test_a_killed_page_loses_nothing_that_was_checked(demo_profiles: Path) -> None:
    app, _ = app_of(demo_profiles / "plover")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, *letters("70"))
        kept = read_draft(demo_profiles / "plover")
        assert kept is not None
        assert kept.typed["ranges.external.0.right.active_deg"] == "70"


async def test_a_text_of_a_field_that_is_gone_is_told(demo_profiles: Path) -> None:
    client = demo_profiles / "plover"
    app, screen = app_of(client)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        screen._keep({**screen._initial, "needs.not_seen.what": "phoned"})
    app, _ = app_of(client)
    async with app.run_test(size=(80, 24)) as pilot:
        assert "no longer here: phoned" in " ".join((await press(pilot)).split())


async def test_the_change_is_told_while_it_is_typed(demo_profiles: Path) -> None:
    """68 degrees before: 70 is noise, 75 is not (Kolber MJ et al., Physiother Theory Pract 2009;25:572)."""
    app, _ = app_of(demo_profiles / "curlew")
    async with app.run_test(size=(80, 24)) as pilot:
        assert "70 degrees: +2, within the error of 5 degrees" in await press(pilot, *letters("70"))
        assert "75 degrees: +7, beyond the error of 5 degrees" in await press(pilot, "backspace", "5")


async def test_a_fault_is_told_at_its_field(demo_profiles: Path) -> None:
    app, screen = app_of(demo_profiles / "curlew")
    async with app.run_test(size=(80, 24)) as pilot:
        assert "active_deg is 3" in await press(pilot, "3")
        await press(pilot, "backspace", *letters("60"))
        await go_to(pilot, screen, "next_visit")
        assert "not after the visit" in await press(pilot, *letters("2026-11-01"))
        await go_to(pilot, screen, "initials")
        await press(pilot, *letters("KB"), "ctrl+s")
        assert screen.query_one(InputForm).focused_field.key == "next_visit"


async def test_keys_typed_ahead_land_where_they_belong(demo_profiles: Path) -> None:
    """As on a busy computer: no key waits for the page to be drawn."""
    app, screen = app_of(demo_profiles / "curlew")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        await pilot.press(
            *letters("61"), "enter", *letters("80"), "pagedown", *letters("71"), "pagedown", *letters("50")
        )
        await press(pilot)
        values = screen.query_one(InputForm).values
    assert {key: text for key, text in values.items() if key.startswith("ranges.") and text} == {
        "ranges.external.0.right.active_deg": "61",
        "ranges.external.0.right.passive_deg": "80",
        "ranges.external.0.left.active_deg": "71",
        "ranges.external.45.right.active_deg": "50",
    }


async def test_an_instruction_can_be_signed_from_the_visit(demo_profiles: Path) -> None:
    client = demo_profiles / "curlew"
    app, screen = app_of(client)
    async with app.run_test(size=(80, 24)) as pilot:
        await go_to(pilot, screen, "ranges.external.0.left.active_deg")
        steering = await press(pilot, *letters("70"), "f4")
        assert "Steering: curlew, External rotation with a band, left" in steering
        await press(pilot, "f", "enter", *letters("KB"), "enter", *letters("sore"), "ctrl+s", "y", "escape")
        await go_to(pilot, screen, "initials")
        await press(pilot, *letters("KB"), "ctrl+s", "y")
    folder = read_client_folder(client)
    assert [(one.what, one.exercise) for one in folder.signed] == [("freeze_load", "outward_left")]
    assert folder.visits[0].ranges[0].active_deg == 70
    assert folder.visits[0].written is not None
    assert folder.signed[0].written is not None
    assert folder.visits[0].written.knew(folder.signed[0].written)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_every_page_of_a_visit(
    demo_profiles: Path, size: tuple[int, int], snapshot: SnapshotAssertion, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen = partial(_pages, demo_profiles / "curlew", size)
    await assert_pages_as_kept("visit", seen, size, snapshot, monkeypatch)


async def _pages(client: Path, size: tuple[int, int], pages: PageRecorder) -> None:
    app, screen = app_of(client)
    async with app.run_test(size=size) as pilot:
        await pages.see("01-visit", pilot)
        await pages.see("02-measured", pilot, *letters("55"))
        await pages.see("03-form", pilot, *["pagedown"] * 8, "1")
        await go_to(pilot, screen, "next_visit")
        await pages.see("04-wrong", pilot, *letters("2026-11-01"))
        await press(pilot, *["backspace"] * 10, *letters("2026-12-16"))
        await go_to(pilot, screen, "initials")
        await press(pilot, *letters("KB"))
        await pages.see("05-compared", pilot, "ctrl+s")
        await press(pilot, "escape")
        await pages.see("06-forget", pilot, "f8")
        await press(pilot, "y")
