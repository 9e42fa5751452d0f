"""Where no session may start, every report says so, from the one place that knows it."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from textual.widgets import Static

from coach.cli import main
from coach.commands.clinic.courses import course_of, courses_of
from coach.commands.support.caseload_loading import caseload_lines
from coach.commands.support.report_factories import report_sources
from coach.overview.results.audit import HELD, Audit
from coach.reports.text.results.audit import audit_text
from coach.screens.therapist.one_client.client_facts import client_facts
from coach.screens.therapist.preview_screen import PreviewScreen
from coach.screens.therapist.report_sources import ChosenExercise
from coach.screens.therapist.therapist_app import TherapistApp
from coach.store.client_store import ClientStore
from tests.clocks import FakeClock
from tests.plans import shipped
from tests.store.programme.by_hand import MONDAY

SAID = "Strengthening waits until your therapist signs that it may begin"
Told = Callable[..., str]


@pytest.fixture(autouse=True)
def the_day(monkeypatch: pytest.MonkeyPatch) -> FakeClock:
    """The Monday after the demo histories, whatever the clock of this computer says."""
    clock = FakeClock(MONDAY)
    monkeypatch.setattr("coach.store.clock.now", clock)
    return clock


@pytest.fixture(params=["curlew", "plover"])
def operated(request: pytest.FixtureRequest, demo_profiles: Path) -> Path:
    """A client with a repair of the cuff, and nothing signed since: several exercises, or one."""
    client = demo_profiles / str(request.param)
    profile = client / "profile.toml"
    told = '\n[[condition]]\nkind = "cuff_repair"\non = 2026-11-15\nby = "surgeon"\n'
    profile.write_text(profile.read_text(encoding="utf-8") + told, encoding="utf-8")
    return client


@pytest.fixture(params=["curlew", "plover"])
def repaired(request: pytest.FixtureRequest, demo_profiles: Path) -> Path:
    """A client whose programme has the day of a repair."""
    client = demo_profiles / str(request.param)
    (path,) = (*client.glob("programme/*.toml"), *client.glob("prescription.toml"))
    said = path.read_text(encoding="utf-8").replace("\non = ", "\nrepaired_on = 2026-11-05\non = ", 1)
    path.write_text(said, encoding="utf-8")
    return client


@pytest.fixture
def told(capsys: pytest.CaptureFixture[str]) -> Told:
    """What a command prints, with its exit code before it."""

    def run(*command: str | Path) -> str:
        capsys.readouterr()
        code = main([str(one) for one in command])
        both = capsys.readouterr()
        return " ".join(f"{code} {both.out} {both.err}".split())

    return run


def test_no_calendar_is_written_and_the_progress_says_why(operated: Path, told: Told, tmp_path: Path) -> None:
    to = tmp_path / "days.ics"
    refused = told("progress", operated, "--calendar", to)
    assert refused.startswith("3 ")
    assert SAID in refused
    assert not to.exists()
    assert SAID in told("progress", operated)


def test_the_letter_says_the_operation_and_that_none_may_start(operated: Path, told: Told) -> None:
    for_referrer = told("letter", operated, "--text")
    assert "Noted: a repair of the rotator cuff (2026-11-15)." in for_referrer
    assert "At present no session may start. The client is told: Your shoulder was operated on 2 w" in for_referrer
    assert SAID in told("letter", operated, "--text", "--for", "client")


def test_the_export_is_on_hold(operated: Path, told: Told, tmp_path: Path) -> None:
    told("export", operated, "--fhir", "--to", tmp_path / "to.json")
    entries = json.loads((tmp_path / "to.json").read_text(encoding="utf-8"))["entry"]
    status = {
        one["resource"]["status"]
        for one in entries
        if one["resource"]["resourceType"] in ("CarePlan", "ServiceRequest")
    }
    assert status == {"on-hold"}


def test_the_page_of_the_client_and_the_audit_say_it(operated: Path) -> None:
    content = shipped()
    (line,) = (one for one in caseload_lines(operated.parent) if one.folder == operated.name)
    facts = dict(client_facts(line, report_sources(operated.parent, content), "octants"))
    assert str(facts[content.messages.therapist.client_screen.stands_title][0]).startswith("No session may start. ")
    store = ClientStore.read(operated)
    audit = Audit()
    audit.add(course_of(store, courses_of(store)))
    figures = audit.figures(1)
    assert [one.detail for one in figures if (one.by, one.name) == ("all", "status")] == [HELD]
    assert "Now: no session may start" in audit_text("clinic", figures, audit.weeks, 1, content)


async def _notice(client: Path) -> str:
    """What stands above the first page of the preview on the screen."""
    sources = report_sources(client.parent, shipped())
    name = ClientStore.read(client).folder.name
    screen = PreviewScreen(sources.plans(ChosenExercise(client.name, name)), MONDAY, {})
    async with TherapistApp(screen, "dusk", "auto").run_test(size=(80, 24)):
        return str(screen.query_one("#notice", Static).content)


async def test_the_preview_on_the_screen_says_it_of_a_condition(operated: Path) -> None:
    assert (await _notice(operated)).startswith("No session may start: ")


async def test_the_preview_on_the_screen_says_it_of_a_repair_in_the_programme(repaired: Path) -> None:
    assert (await _notice(repaired)).startswith("No session may start: ")


def test_who_may_start_is_told_nothing_of_it(demo_profiles: Path, told: Told, tmp_path: Path) -> None:
    client = demo_profiles / "curlew"
    assert told("progress", client, "--calendar", tmp_path / "days.ics").startswith("0 ")
    assert "may start" not in told("letter", client, "--text")
    assert "Noted: " not in told("letter", client, "--text")
    store = ClientStore.read(client)
    assert course_of(store, courses_of(store)).may_start
