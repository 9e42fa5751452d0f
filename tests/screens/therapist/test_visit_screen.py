"""A visit on screen: filled in, compared, signed; the keys are counted, and what is typed is never lost."""

from collections.abc import Mapping
from functools import partial
from pathlib import Path

import pytest
from syrupy.assertion import SnapshotAssertion
from textual.pilot import Pilot

from coach.commands.clinic.visiting import visit_screen
from coach.screens.therapist.therapist_app import TherapistApp
from coach.screens.therapist.visit.visit_screen import VisitScreen
from coach.screens.widgets.form import InputForm
from coach.store.client_folder import read_client_folder
from coach.store.therapist.visit_draft import DRAFT, forget_draft, keep_draft, read_draft
from tests.plans import shipped
from tests.screens.therapist.therapist_pages import (
    NOW,
    SIZES,
    PageRecorder,
    assert_pages_as_kept,
    press,
    stop_the_clock,
)

# 40 words of five letters a minute: a common speed at a keyboard (common practice, no source).
_KEYS_A_MINUTE = 200
_WALKED = 8
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


async def fill_in(pilot: Pilot[None], screen: VisitScreen, typed: Mapping[str, str]) -> None:
    """These entries by the keys of their fields; the last of them has the focus."""
    form = screen.query_one(InputForm)
    for field, entry in form._entries():
        entry.value = typed.get(field.key, entry.value)
    form.focus_field([*typed][-1])
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
        form = screen.query_one(InputForm)
        for number, (field, entry) in enumerate(form._entries()):
            if number < _WALKED:  # enter leads from each field to the next; the others are alike
                assert app.focused is entry
                await pilot.press("enter")
            entry.value = TYPED.get(field.key, entry.value)
        keys += sum(map(len, TYPED.values())) + len(fields) - 1
        shown = " ".join((await press(pilot, "ctrl+s")).replace("!", "").split())
        assert "75 degrees, +13: counts as a" in shown
        assert "down more below y signs, as KB" in shown, "what is to be signed is longer than the window"
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


async def test_what_was_typed_is_kept_at_once_and_here_again_after_leaving(demo_profiles: Path) -> None:
    client = demo_profiles / "tern"
    app, screen = app_of(client)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "7")
        kept = read_draft(client)  # also where the page is killed now
        assert kept is not None
        assert kept.typed["ranges.external.0.right.active_deg"] == "7"
        await pilot.press("escape")
    assert read_client_folder(client).visits == ()
    keep_draft(client, {**kept.typed, "note": "a\u202eb"}, NOW)  # pasted: no file may hold it
    again = read_draft(client)
    assert again is not None
    assert again.typed == {**kept.typed, "note": "a\N{REPLACEMENT CHARACTER}b"}
    keep_draft(client, {**kept.typed, "needs.not_seen.what": "phoned"}, NOW)  # a need that is met since
    app, screen = app_of(client)
    async with app.run_test(size=(80, 24)) as pilot:
        told = " ".join((await press(pilot)).split())
        assert "not signed yet: it is here again" in told
        assert "no longer here: phoned" in told
        assert screen.query_one(InputForm).values["ranges.external.0.right.active_deg"] == "7"
        await press(pilot, "f8", "y")
    assert read_draft(client) is None


@pytest.mark.parametrize("again", [True, False])
async def test_a_signed_visit_is_called_signed_where_its_draft_cannot_be_deleted(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch, again: bool
) -> None:
    """As on Windows, where another program may keep the file open."""
    client, held = demo_profiles / "tern", [True]
    unlink = Path.unlink

    def refused(path: Path, missing_ok: bool = False) -> None:
        if path.name == DRAFT and held:
            raise PermissionError(13, "Access is denied", str(path))
        unlink(path, missing_ok)

    monkeypatch.setattr(Path, "unlink", refused)
    app, screen = app_of(client)
    async with app.run_test(size=(80, 24)) as pilot:
        await fill_in(pilot, screen, {"note": "well", "initials": "KB"})
        told = " ".join((await press(pilot, "ctrl+s", "y")).replace("│", "").split())
        assert "Signed by KB at" in told
        assert DRAFT in told
        assert "access is denied. Close it in other programs" in told
        assert len(read_client_folder(client).visits) == 1
        if again:
            assert "Signed by KB" in await press(pilot, "y"), "it is still held"
            held.clear()
        await press(pilot, "y" if again else "n")
    assert screen.signed is not None
    assert screen.signed.startswith("Signed by KB")
    assert ("access is denied" in screen.signed) != again
    assert (read_draft(client) is None) == again


async def test_what_was_typed_and_cannot_be_thrown_away_is_told(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(path: Path, **_: bool) -> None:
        raise PermissionError(13, "Access is denied", str(path))

    app, screen = app_of(demo_profiles / "tern")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "7")
        monkeypatch.setattr(Path, "unlink", refused)
        told = " ".join((await press(pilot, "f8", "y")).split())
        assert "What was typed is still in" in told
        await press(pilot, "n")
        monkeypatch.undo()
    assert screen.signed is None
    assert read_draft(demo_profiles / "tern") is not None


async def test_change_and_fault_are_told_while_it_is_typed(demo_profiles: Path) -> None:
    """62 degrees before: 66 is noise, 67 is not (Kolber MJ et al., Physiother Theory Pract 2009;25:572)."""
    app, screen = app_of(demo_profiles / "tern")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("6")
        assert "66 degrees, +4: within the error of 5 degrees" in await press(pilot, "6")
        assert "67 degrees, +5: counts as a change, the error is 5 degrees" in await press(pilot, "backspace", "7")
        assert "Active range, degrees = 6 is too" not in await press(pilot, "backspace")
        assert "Active range, degrees = 621 is too large" in await press(pilot, "2", "1")
        typed = {"ranges.external.0.right.active_deg": "60", "next_visit": "2026-11-01", "initials": "KB"}
        await fill_in(pilot, screen, typed)
        await press(pilot, "ctrl+s")
        assert screen.query_one(InputForm).focused_field.key == "next_visit"


async def test_what_is_expected_of_a_field_is_said_once(demo_profiles: Path) -> None:
    app, screen = app_of(demo_profiles / "tern")
    async with app.run_test(size=(120, 40)) as pilot:
        form = screen.query_one(InputForm)
        for field, entry in form._entries():
            before, entry.value = entry.value, "soon, 12"
            here = screen.check(screen._typed())
            lines = "\n".join(screen.message(here, field, touched=True)).split("\n")
            entry.value = before
            hints = [line for line in lines if "such as" in line or "one of " in line or "capital letters" in line]
            others = ("to do: write one of", "is not one of")
            assert len([one for one in hints if not any(part in one for part in others)]) <= 1, field.key
            assert not [line for line in lines if '"high"' in line], "quotes are for a file"
        await press(pilot)


async def test_what_is_wrong_in_another_field_is_said_behind_its_label(demo_profiles: Path) -> None:
    app, screen = app_of(demo_profiles / "tern")
    async with app.run_test(size=(120, 40)) as pilot:
        await fill_in(pilot, screen, {"next_visit": "soon", "note": "well"})
        by_key = {field.key: field for field in screen._fields}
        told = screen.message(screen.check(screen._typed()), by_key["note"], touched=True)
        assert f'{by_key["next_visit"].label}: "soon" is not a date' in " ".join(told)


async def test_keys_typed_ahead_land_where_they_belong(demo_profiles: Path) -> None:
    """As on a busy computer: no key waits for the page to be drawn."""
    app, screen = app_of(demo_profiles / "plover")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        await pilot.press("6", "1", "enter", "8", "0", "pagedown", "7", "1", "pagedown", "5", "0")
        await press(pilot)
        values = screen.query_one(InputForm).values
    typed = {"61", "80", "71", "50"}
    assert {key: text for key, text in values.items() if text in typed} == {
        "ranges.external.0.left.active_deg": "61",
        "ranges.external.0.left.passive_deg": "80",
        "strengths.external.0.right.force_n": "71",
        "ranges.external.45.left.active_deg": "50",
    }


async def test_an_instruction_can_be_signed_from_the_visit(demo_profiles: Path) -> None:
    client = demo_profiles / "curlew"
    app, screen = app_of(client)
    async with app.run_test(size=(80, 24)) as pilot:
        await fill_in(pilot, screen, {"ranges.external.0.left.active_deg": "70"})
        steering = await press(pilot, "f4")
        assert "curlew, External rotation with a band, left: instructions" in steering
        await press(pilot, "f")
        await pilot.press("enter", "K", "B", "enter", *"sore")
        await press(pilot, "ctrl+s", "y", "escape")
        await fill_in(pilot, screen, {"initials": "KB"})
        await press(pilot, "ctrl+s", "y")
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
    seen = partial(_pages, demo_profiles / "plover", size)
    await assert_pages_as_kept("visit", seen, size, snapshot, monkeypatch)


async def _pages(client: Path, size: tuple[int, int], pages: PageRecorder) -> None:
    forget_draft(client)
    app, screen = app_of(client)
    async with app.run_test(size=size) as pilot:
        await press(pilot)
        await pages.see("01-measured", pilot, "7", "5")
        await fill_in(pilot, screen, {"ranges.external.0.left.active_deg": "55", "form.external_rotation.blade": "1"})
        await pages.see("02-form", pilot)
        await fill_in(pilot, screen, {"initials": "KB"})
        await pages.see("03-compared", pilot, "ctrl+s")
