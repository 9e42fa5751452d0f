"""Conditions and irritability stand wherever the therapist decides something."""

import json
from collections.abc import Callable
from datetime import date, timedelta
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from coach.cli import main
from coach.commands.support.caseload_loading import caseload_lines
from coach.commands.support.report_factories import PREVIEW_REPORTS, report_sources
from coach.commands.support.steering import steering_screen
from coach.model.condition import ClientCondition, Irritability
from coach.reports.pdf.handout import handout_pdf
from coach.screens.therapist.client_screen import ClientScreen
from coach.screens.therapist.preview_screen import PreviewScreen
from coach.screens.therapist.therapist_app import TherapistApp
from coach.session.admission.client_conditions import therapist_lines
from tests.plans import next_plan, shipped
from tests.screens.pictures import Size
from tests.screens.therapist.therapist_pages import NOW, SIZES, press, stop_the_clock

TODAY = NOW.date()
SAID = (
    "Instability: above 45 degrees only by a clearing with the finding on apprehension, or with the reason why it "
    "was not tested. Since 2024-05-01, says a letter.",
    "Stiffness: nothing rises for 42 days from its day. Since 2026-11-01, says KB.",
    "Irritability, judged on 2026-11-01 by KB: an irritable shoulder. Nothing rises, no new position; the dose is "
    "yours to set. That was 24 days ago: judge it again.",
)


@pytest.fixture(autouse=True)
def _one_day(monkeypatch: pytest.MonkeyPatch) -> None:
    stop_the_clock(monkeypatch)


@pytest.fixture
def client(demo_profiles: Path) -> Path:
    """A client with two conditions and an old judgement of irritability, alone in a caseload."""
    folder = demo_profiles / "tern"
    with (folder / "profile.toml").open("a", encoding="utf-8") as file:
        file.write('\n[[condition]]\nkind = "instability"\non = 2024-05-01\nby = "a letter"\n')
        file.write('\n[[condition]]\nkind = "stiffness"\non = 2026-11-01\nby = "KB"\n')
        file.write('\n[irritability]\nlevel = "high"\non = 2026-11-01\nby = "KB"\n')
    return folder


def one_line(text: str) -> str:
    """The text with one space between words, without the frame of a page."""
    return " ".join(text.replace("█", " ").replace("▌", " ").replace("│", " ").split())


@pytest.mark.parametrize(("days", "old"), [(0, False), (21, False), (22, True)])
def test_a_judgement_older_than_three_weeks_is_said_to_be_old(days: int, old: bool) -> None:
    judged = Irritability(level="moderate", on=TODAY - timedelta(days=days), by="KB")
    (line,) = therapist_lines((), judged, shipped(), shipped().limit_values({}), TODAY)
    assert ("judge it again" in line) == old
    assert "Nothing rises" not in line


def test_every_kind_of_condition_is_said_with_its_numbers() -> None:
    content = shipped()
    every = tuple(ClientCondition(kind=kind, on=date(2026, 1, 2), by="KB") for kind in content.conditions)
    lines = therapist_lines(every, None, content, content.limit_values({}), TODAY)
    assert len(lines) == len(content.conditions)
    assert [line for line in lines if "{" in line or " 0 " in line] == []


Show = Callable[[Path], TherapistApp]


def _client_page(client: Path) -> TherapistApp:
    line = next(one for one in caseload_lines(client.parent) if one.client.folder == client.name)
    return TherapistApp(ClientScreen(report_sources(client.parent, shipped()), line))


def _steering(client: Path) -> TherapistApp:
    return TherapistApp(steering_screen(client, shipped()))


def _preview(client: Path) -> TherapistApp:
    return TherapistApp(PreviewScreen((next_plan(client),), NOW, PREVIEW_REPORTS))


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(("show", "keys"), [(_client_page, ()), (_steering, ()), (_steering, ("u",)), (_preview, ())])
async def test_the_pages_show_them(client: Path, size: Size, show: Show, keys: tuple[str, ...]) -> None:
    async with show(client).run_test(size=size) as pilot:
        shown = one_line(await press(pilot, *keys))
        shown += one_line(await press(pilot, *["down"] * 12))
        assert [line for line in SAID if line not in shown] == []


def test_the_preview_says_them(client: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["preview", str(client), "--text"]) == 0
    shown = one_line(capsys.readouterr().out)
    assert [line for line in SAID if line not in shown] == []
    assert main(["preview", str(client), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["conditions"] == list(SAID)


def test_an_instruction_on_the_command_line_says_them(client: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["steer", str(client), "change", "dose.sets=2", "--initials", "KB", "--reason", "x"]) == 3
    shown = one_line(capsys.readouterr().out)
    assert [line for line in SAID if line not in shown] == []


def test_the_handout_says_what_the_client_takes_care_of(client: Path) -> None:
    page = one_line(PdfReader(BytesIO(handout_pdf(next_plan(client), (), "a4"))).pages[0].extract_text())
    assert "If your shoulder feels as if it could slip, stop." in page
