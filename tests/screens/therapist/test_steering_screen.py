"""Steering on screen: fill in, see what is wrong, see what changes, sign; nothing is written by accident."""

from datetime import timedelta
from functools import partial
from pathlib import Path

import pytest
from syrupy.assertion import SnapshotAssertion

from coach.commands.support.steering import steering_screen
from coach.model.answers_file import Answers
from coach.screens.therapist.therapist_app import TherapistApp
from coach.store.client_folder import read_client_folder
from tests.clocks import START
from tests.plans import shipped
from tests.screens.plain.output_lines import run_with_answers
from tests.screens.therapist.therapist_pages import (
    SIZES,
    PageRecorder,
    assert_pages_as_kept,
    press,
    stop_the_clock,
)


@pytest.fixture(autouse=True)
def _one_day(monkeypatch: pytest.MonkeyPatch) -> None:
    stop_the_clock(monkeypatch)


def app_of(client: Path) -> TherapistApp:
    """The steering screen as the command opens it."""
    return TherapistApp(steering_screen(client, shipped()))


def typed(text: str) -> tuple[str, ...]:
    """The keys of a text."""
    return tuple({" ": "space", ".": "full_stop", "-": "minus"}.get(letter, letter) for letter in text)


async def test_a_freeze_until_a_day_that_is_over_is_told_at_its_field_and_not_signed(demo_profiles: Path) -> None:
    client = demo_profiles / "plover"
    app = app_of(client)
    async with app.run_test(size=(120, 40)) as pilot:
        await press(pilot, "f")
        await press(pilot, *typed("2026-01-14"), "down", *typed("KB"), "down", *typed("sore"), "up", "up")
        text = await press(pilot, "ctrl+s")
        assert "2026-01-14, a day that is over: the load" in text
    assert read_client_folder(client).signed == ()


async def test_a_dose_is_changed_and_signed_and_the_instruction_is_listed(demo_profiles: Path) -> None:
    client = demo_profiles / "plover"
    app = app_of(client)
    async with app.run_test(size=(120, 40)) as pilot:
        await press(pilot, "d", "backspace", "2")
        await press(pilot, "up", *typed("two are plenty"), "up", *typed("KB"))
        compared = await press(pilot, "ctrl+s")
        assert "! Dose: 2 sets of 15" in compared
        text = await press(pilot, "y")
        assert "Signed. It counts from the next session on." in text
        assert "2026-11-25 09:30:00  KB  change the prescription (Sets: 3 -> 2)" in text
        assert "can be taken back" in text
        await press(pilot, "z", "down", *typed("KB"), "down", *typed("a slip"), "enter", "y")
        await press(pilot, "escape")
    assert app.return_code == 0
    prescription = read_client_folder(client).prescription
    assert [word.what for word in prescription.sign_offs] == ["change", "take_back"]
    assert prescription.dose.sets == 3


async def test_what_is_told_of_a_form_scrolls_down_and_back_up(demo_profiles: Path) -> None:
    app = app_of(demo_profiles / "plover")
    async with app.run_test(size=(60, 14)) as pilot:
        assert "space backspace" in await press(pilot, "space")
        detail = app.screen.query_one("#detail")
        down = detail.scroll_y
        await press(pilot, "backspace")
        assert (down > 0, detail.scroll_y) == (True, 0)


async def test_faults_are_shown_while_typing_and_cannot_be_signed(demo_profiles: Path) -> None:
    client = demo_profiles / "plover"
    before = (client / "prescription.toml").read_bytes()
    app = app_of(client)
    async with app.run_test(size=(80, 24)) as pilot:
        text = await press(pilot, "d", "backspace", "9")
        assert "Sets = 9 is too large" in text
        assert "expected: a whole number from 1 to 6" in text
        assert ">! Sets" in text
        text = await press(pilot, "up", *typed("x"), "ctrl+s")
        assert ">! Sets" in text  # sent back to the line that is wrong
        text = await press(pilot, "backspace", "2", "ctrl+s")
        assert ">" in next(line for line in text.splitlines() if "Your initials" in line)
        assert "initials: 2 to 4 capital letters" in text
    assert (client / "prescription.toml").read_bytes() == before


@pytest.mark.parametrize("key", ["escape", "ctrl+c"])
async def test_leaving_asks_where_something_was_typed_and_writes_nothing(demo_profiles: Path, key: str) -> None:
    client = demo_profiles / "plover"
    before = (client / "prescription.toml").read_bytes()
    app = app_of(client)
    async with app.run_test(size=(80, 24)) as pilot:
        assert "a letter opens one" in await press(pilot, "f", key)  # nothing typed: no question
        assert "Leave without signing?" in await press(pilot, "f", "2", key)
        assert "freeze the load" in await press(pilot, "n")
        assert "a letter opens one" in await press(pilot, key, "y")
    assert (client / "prescription.toml").read_bytes() == before


async def test_a_file_changed_by_hand_meanwhile_is_noticed_when_signing(demo_profiles: Path) -> None:
    client = demo_profiles / "plover"
    file = client / "prescription.toml"
    app = app_of(client)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "f", "down", *typed("KB"), "down", *typed("away"), "enter")
        file.write_text(file.read_text(encoding="utf-8") + "# by hand\n", encoding="utf-8")
        text = await press(pilot, "y")
        assert "have changed since you looked: nothing was written" in " ".join(text.split())
    assert file.read_text(encoding="utf-8").endswith("# by hand\n")


async def test_a_wrong_file_is_reported_instead_of_the_forms(demo_profiles: Path) -> None:
    client = demo_profiles / "plover"
    app = app_of(client)
    (client / "profile.toml").write_text("nonsense", encoding="utf-8")
    async with app.run_test(size=(80, 24)) as pilot:
        assert "profile.toml:1:" in "".join((await press(pilot, "d")).split())


@pytest.mark.parametrize("name", ["tern", "plover"])
async def test_where_a_date_is_to_come_it_is_what_to_put_right(demo_profiles: Path, name: str) -> None:
    client = demo_profiles / name
    newest = START + timedelta(days=3600)
    assert run_with_answers(client, Answers(), lambda _: None, newest)
    async with app_of(client).run_test(size=(80, 24)) as pilot:
        assert "enter   opens: put a date right" in await press(pilot)


async def test_text_in_a_field_is_text(demo_profiles: Path) -> None:
    """Brackets are no markup, wherever they are shown."""
    client = demo_profiles / "plover"
    app = app_of(client)
    async with app.run_test(size=(120, 40)) as pilot:
        reason = "[red]stop[/] [@click=app.quit]x[/]"
        await press(pilot, "f", "down", *typed("KB"), "down")
        pilot.app.screen.query("Input").last().value = reason  # type: ignore[attr-defined]
        assert reason in " ".join((await press(pilot, "enter")).split())
        assert reason in await press(pilot, "y")


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_every_page_of_steering(
    demo_profiles: Path, size: tuple[int, int], snapshot: SnapshotAssertion, monkeypatch: pytest.MonkeyPatch
) -> None:
    visit = partial(_visit, demo_profiles / "heron", size)
    await assert_pages_as_kept("steering", visit, size, snapshot, monkeypatch)


async def _visit(client: Path, size: tuple[int, int], pages: PageRecorder) -> None:
    async with app_of(client).run_test(size=size) as pilot:
        await pages.see("01-forms", pilot)
        await pages.see("02-dose", pilot, "d")
        await pages.see("03-wrong", pilot, "backspace", "9")
        await pages.see("04-leave", pilot, "escape")
        await pages.see("05-limits", pilot, "y", "m", *["down"] * 8)
        await pages.see("06-setups", pilot, "escape", "t")
        await pages.see("07-overrule", pilot, "escape", "o", *typed("knotted"), "down", "1", "down", *typed("75"))
        await press(pilot, "up", "up", "up", *typed("back to what went well"), "up", *typed("KB"))
        await pages.see("08-compared", pilot, "ctrl+s")
