"""The caseload on screen: filter, sort, open a client, come back, and keys without meaning."""

import shutil
from pathlib import Path

import pytest

from coach.commands.support.caseload_loading import caseload_lines
from coach.commands.support.report_factories import report_sources
from coach.screens.therapist.caseload_screen import CaseloadScreen
from coach.screens.therapist.client_screen import ClientScreen
from coach.screens.therapist.one_client.client_plots import ClientCourse
from coach.screens.therapist.report_sources import ChosenExercise
from tests.demo.pristine import DEMO
from tests.plans import shipped
from tests.screens.therapist.therapist_pages import caseload_app, facts_text, press, stop_the_clock


@pytest.fixture(autouse=True)
def _one_day(monkeypatch: pytest.MonkeyPatch) -> None:
    stop_the_clock(monkeypatch)


async def test_those_who_need_somebody_come_first_and_one_key_opens(thirty_clients: Path) -> None:
    app = caseload_app(thirty_clients)
    async with app.run_test(size=(80, 24)) as pilot:
        text = await press(pilot)
        head, first = text.splitlines()[2], text.splitlines()[5]
        assert "warning sign" in first
        assert first.startswith("  > ")
        assert f"enter   opens {first.split()[1]}: warning sign" in head
        text = await press(pilot, "enter")
        assert "In review: only you let it go on" in text
        text = await press(pilot, "escape")
        assert "30 clients" in text


async def test_what_came_from_home_stands_above_the_lines(thirty_clients: Path) -> None:
    app = caseload_app(thirty_clients, "Came in since you last looked: heron (2 sessions).")
    async with app.run_test(size=(80, 24)) as pilot:
        lines = (await press(pilot)).splitlines()
        assert [line.strip() for line in lines[3:5]] == [
            "Came in since you last looked: heron (2 sessions).",
            "sorted by need   type to find a client, exercise or need",
        ]
        assert lines[6].startswith("  > ")


async def test_typing_finds_and_escape_clears_before_it_leaves(thirty_clients: Path) -> None:
    app = caseload_app(thirty_clients)
    async with app.run_test(size=(80, 24)) as pilot:
        text = await press(pilot, *"begun")
        lines = [line for line in text.splitlines() if "_00" in line and "enter" not in line]
        assert lines
        assert all("not begun" in line for line in lines)
        assert f"{len(lines)} of 30 shown" in text
        assert "No client fits" in await press(pilot, *"zzz")
        await press(pilot, "enter")  # nobody is chosen: nothing is opened
        assert isinstance(app.screen, CaseloadScreen)
        assert "30 clients" in await press(pilot, "escape")
        assert "type to find" in await press(pilot)
        await pilot.press("escape")
    assert app.return_code == 0


async def test_tab_puts_them_in_another_order_and_back(thirty_clients: Path) -> None:
    app = caseload_app(thirty_clients)
    async with app.run_test(size=(80, 24)) as pilot:
        first = await press(pilot)
        assert "sorted by client" in await press(pilot, "tab")
        assert "amber_0000" in (await press(pilot)).splitlines()[5]
        assert await press(pilot, "shift+tab") == first


async def test_the_end_of_a_long_list_is_reached(thirty_clients: Path) -> None:
    app = caseload_app(thirty_clients)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "tab", "end")
        text = await press(pilot)
        last = max(path.name for path in thirty_clients.glob("*_*"))
        assert f"  > {last}" in text
        assert "  > amber_0000" in await press(pilot, "home")


async def test_a_change_while_the_list_is_open_is_seen_on_coming_back(thirty_clients: Path, tmp_path: Path) -> None:
    """The therapist goes into a client, somebody fixes or breaks a file, the therapist comes back."""
    for client in sorted(thirty_clients.glob("*_*"))[:2]:
        shutil.copytree(client, tmp_path / client.name)
    app = caseload_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "enter")
        assert isinstance(app.screen, ClientScreen)
        for client in tmp_path.glob("*_*"):
            (client / "profile.toml").write_text("nonsense")
        rows = (await press(pilot, "escape")).splitlines()[5:]
        assert sum("a file is wrong" in row for row in rows) == 2


async def test_each_report_opens_and_shows_a_wrong_file(thirty_clients: Path) -> None:
    app = caseload_app(thirty_clients)
    async with app.run_test(size=(80, 24)) as pilot:
        assert "What the next session of" in await press(pilot, *"wrong", "escape", *"stopped", "enter", "d")
        assert "The setup in numbers" in await press(pilot, "escape", "s")
        await press(pilot, "escape", "escape", "escape")
        text = await press(pilot, *"file", "enter", "s")
        assert "profile.toml:" in text
        assert "expected:" in text


async def test_a_number_chooses_the_exercise_that_the_pages_are_of(tmp_path: Path) -> None:
    """A client of four exercises; keys held or without meaning choose nothing else."""
    shutil.copytree(DEMO / "curlew", tmp_path / "curlew")
    app = caseload_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        assert "› 1" in await press(pilot, "enter")
        text = await press(pilot, "2", "2", "9", "0", "x")
        assert "curlew, External rotation with a band, left" in text.splitlines()[0]
        assert "› 2" in text
        late = ChosenExercise("curlew", "external_rotation_right")
        assert isinstance(app.screen, ClientScreen)
        app.screen.take(late, ClientCourse((), ("what was read of the other side",)))
        assert "of the other side" not in facts_text(app)
        assert "left: history" in (await press(pilot, "h")).splitlines()[0]
        text = await press(pilot, "escape", "4", "s")
        assert "Pulling to the side (row), right: setup and load" in text.splitlines()[0]
        assert "woven" in text
        text = await press(pilot, "escape", "w")
        assert "curlew, Pulling to the side (row), right" in text.splitlines()[0]


async def test_an_exercise_that_was_taken_out_meanwhile_is_told(tmp_path: Path) -> None:
    shutil.copytree(DEMO / "curlew", tmp_path / "curlew")
    first = tmp_path / "curlew" / "programme" / "0001.toml"
    app = caseload_app(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "enter", "4")
        text = first.read_text(encoding="utf-8").partition('[[exercises]]\nname = "row_right"')[0]
        first.with_name("0002.toml").write_text(text, encoding="utf-8")
        for key in ("h", "w", "p"):
            text = await press(pilot, key)
            assert "the programme has no exercise row_right any more" in " ".join(text.split())
            await press(pilot, "escape")


def test_the_first_key_on_a_client_s_page_is_that_of_what_is_due(thirty_clients: Path) -> None:
    """Who is held goes on by an instruction alone; of a wrong file the check; else a visit; else what comes next."""
    sources = report_sources(thirty_clients, shipped())
    found = {}
    for line in caseload_lines(thirty_clients):
        need = line.needs[0].name if line.needs else ""
        found[need] = ClientScreen(sources, line)._first_key()
    held = dict.fromkeys(("warning_sign", "review", "may_not_start"), "w")
    seen = dict.fromkeys(("stopped_by_pain", "pain_rising", "under_performing", "not_seen", "not_begun"), "v")
    assert {need: key for need, (key, _) in found.items()} == {"": "p", "unreadable": "c", **held, **seen}
    assert found["not_begun"][1] == "records a visit; due: not begun"
