"""A discharge is said alike by the caseload, the export and the audit; a visit after it says that it ends it."""

import json
from pathlib import Path
from typing import Any

import pytest

from coach.cli import main
from coach.commands.clinic.courses import course_of, courses_of
from coach.commands.support.caseload_loading import caseload_lines
from coach.model.answers_file import Answers
from coach.overview.caseload_lines import search_lines
from coach.store.client_store import ClientStore
from tests.clocks import FakeClock
from tests.store.programme.by_hand import MONDAY, Clock, open_live, over, play

DAY_S = 24 * 3600.0


@pytest.fixture(autouse=True)
def the_day(monkeypatch: pytest.MonkeyPatch) -> FakeClock:
    """The day after the demo histories, whatever the clock of this computer says."""
    clock = FakeClock(MONDAY)
    monkeypatch.setattr("coach.store.clock.now", clock)
    return clock


def _visit(client: Path, *typed: str) -> None:
    assert main(["visit", str(client), *typed, "--initials", "KB", "--yes"]) == 0


def _exported(client: Path, to: Path) -> dict[str, list[dict[str, Any]]]:
    to.unlink(missing_ok=True)
    assert main(["export", str(client), "--fhir", "--to", str(to)]) == 0
    found: dict[str, list[dict[str, Any]]] = {}
    for entry in json.loads(to.read_text(encoding="utf-8"))["entry"]:
        found.setdefault(entry["resource"]["resourceType"], []).append(entry["resource"])
    return found


def _discharged(client: Path, to: Path) -> list[bool]:
    """Whether the caseload, the audit and the export say so."""
    store = ClientStore.read(client)
    (line,) = (one for one in caseload_lines(client.parent) if one.folder == client.name)
    (plan,) = _exported(client, to)["CarePlan"]
    return [line.discharged, course_of(store, courses_of(store)).discharged is not None, "end" in plan["period"]]


@pytest.mark.parametrize("name", ["avocet", "curlew"])
def test_all_say_who_is_discharged_and_who_is_back(
    name: str, demo_profiles: Path, tmp_path: Path, the_day: FakeClock
) -> None:
    client, to = demo_profiles / name, tmp_path / "to.json"
    assert _discharged(client, to) == [False] * 3
    _visit(client, "discharge.reason=goals_met")
    assert _discharged(client, to) == [True] * 3
    the_day.advance(DAY_S)
    _visit(client, "kind=phone", "note=asked for the report")
    assert _discharged(client, to) == [True] * 3
    the_day.advance(DAY_S)
    _visit(client, "note=back after a fall")
    assert _discharged(client, to) == [False] * 3


def test_the_export_of_a_discharged_client_holds_nothing_that_goes_on(demo_profiles: Path, tmp_path: Path) -> None:
    client = demo_profiles / "avocet"
    _visit(client, "discharge.reason=goals_met")
    found = _exported(client, tmp_path / "to.json")
    (plan,) = found["CarePlan"]
    said = [one["lifecycleStatus"] for one in found["Goal"]] + [one["status"] for one in found["ServiceRequest"]]
    assert {*said, plan["status"], plan["activity"][0]["detail"]["status"]} == {"completed"}
    assert plan["period"]["end"] == MONDAY.date().isoformat()


def test_a_visit_after_a_discharge_says_that_it_ends_it(
    demo_profiles: Path, the_day: FakeClock, capsys: pytest.CaptureFixture[str]
) -> None:
    client, ends = demo_profiles / "plover", "Taken back: discharged 2026-11-30 (moved away)"
    _visit(client, "discharge.reason=moved")
    assert "Taken back" not in capsys.readouterr().out
    the_day.advance(DAY_S)
    _visit(client, "kind=phone", "note=late note")
    assert "Taken back" not in capsys.readouterr().out
    assert main(["visit", str(client), "note=late note", "--initials", "KB"]) == 3  # shown, and not signed
    assert ends in _one_line(capsys.readouterr().out)
    _visit(client, "note=late note")
    assert ends in _one_line(capsys.readouterr().out)
    assert main(["history", str(client)]) == 0
    assert _one_line(capsys.readouterr().out).count(ends) == 1
    the_day.advance(DAY_S)
    _visit(client, "note=and again")
    assert "Taken back" not in capsys.readouterr().out


def _one_line(text: str) -> str:
    return " ".join(text.replace(">", " ").split())


def _session(client: Path, clock: FakeClock, **answer: str) -> None:
    """A session at the time of the clock."""
    told = Clock(clock().at)
    play(open_live(client, told), told, over, Answers(answer=dict(answer)))
    clock.advance(told().s)


def test_a_sign_after_a_discharge_puts_the_client_back_on_the_list(
    demo_profiles: Path, tmp_path: Path, the_day: FakeClock, capsys: pytest.CaptureFixture[str]
) -> None:
    client, folder = demo_profiles / "curlew", tmp_path / "clinic"
    folder.mkdir()
    client = client.rename(folder / "curlew")
    _visit(client, "discharge.reason=goals_met")
    the_day.advance(DAY_S)
    _session(client, the_day, sign="numb_or_weak")
    assert _discharged(client, tmp_path / "to.json") == [False] * 3  # caseload, audit and export agree
    (line,) = caseload_lines(folder)
    assert [one.name for one in line.needs] == ["warning_sign"]
    assert line.needs_text[0].startswith("warning sign: ")
    assert line.needs_text[1] == "1 session since, discharged 2026-11-30: goals met"
    assert search_lines([line], "") == search_lines([line], "discharged sign") == [line]
    capsys.readouterr()
    assert main(["caseload", str(folder)]) == 0
    out = _one_line(capsys.readouterr().out)
    assert "1 of 1 client needs you" in out
    assert "left out" not in out
    assert "curlew, 1 session since, discharged 2026-11-30: goals met. On the list again: warning sign: " in out
    the_day.advance(60)
    _visit(client, "kind=phone", "discharge.reason=goals_met")  # by somebody who knows of the sign
    assert _discharged(client, tmp_path / "to.json") == [True] * 3


def test_a_good_session_after_a_discharge_is_said_and_leaves_the_client_discharged(
    demo_profiles: Path, tmp_path: Path, the_day: FakeClock, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "clinic"
    folder.mkdir()
    client = (demo_profiles / "curlew").rename(folder / "curlew")
    _visit(client, "discharge.reason=goals_met")
    the_day.advance(DAY_S)
    _session(client, the_day)
    assert _discharged(client, tmp_path / "to.json") == [True] * 3
    (line,) = caseload_lines(folder)
    assert line.needs_text == ("1 session since, discharged 2026-11-30: goals met",)
    capsys.readouterr()
    assert main(["caseload", str(folder)]) == 0
    assert "1 discharged, left out: type discharged, or use --discharged (1 of them with a session since)" in (
        _one_line(capsys.readouterr().out)
    )
    assert main(["caseload", str(folder), "--discharged"]) == 0
    out = _one_line(capsys.readouterr().out)
    assert "0 of 1 client needs you" in out
    assert "curlew, 1 session since, discharged 2026-11-30: goals met." in out
