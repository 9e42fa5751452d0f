"""What the caseload and a client's page say of load and repetitions is what the setup of the next session says."""

import json
from collections.abc import Sequence
from pathlib import Path

import pytest

from coach.cli import main
from coach.commands.support.caseload_loading import caseload_lines
from coach.overview.caseload_lines import CaseloadLine, stands_text
from coach.session.state import Instant
from tests.plans import shipped
from tests.store.programme.by_hand import MONDAY

OVERRULE = ("overrule", "grade=striped", "strands=1")
Setup = tuple[float, float, float, int]
BY = ("--initials", "KB", "--yes")
# What is signed, by a client, and for which exercise of a programme.
SIGNED: dict[str, tuple[str, str, tuple[str, ...]]] = {
    "nothing": ("avocet", "", ()),
    "another load": ("avocet", "", (*OVERRULE, "distance_cm=130")),
    "another load of one of several": ("curlew", "outward_left", (*OVERRULE, "distance_cm=90")),
    "a lower position": ("heron", "", ("cap_position", "45")),
    "a smaller range": ("plover", "", ("cap_range", "position=0", "available_deg=40")),
    "fewer repetitions": ("plover", "", ("change", "dose.repetitions_max=10", "dose.repetitions_min=6")),
}


@pytest.fixture(autouse=True)
def the_day(monkeypatch: pytest.MonkeyPatch) -> None:
    """The day after the demo histories."""
    monkeypatch.setattr("coach.store.clock.now", lambda: Instant(0.0, MONDAY))


def _steer(client: Path, exercise: str, what: Sequence[str]) -> None:
    chosen = ("--exercise", exercise) if exercise else ()
    assert main(["steer", str(client), *what, *chosen, "--reason", "x", *BY]) == 0


def _setup(client: Path, capsys: pytest.CaptureFixture[str]) -> list[Setup]:
    """Of each exercise: the mean load, the two that it is likely between, and the repetitions."""
    capsys.readouterr()
    assert main(["setup", str(client), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    loads = [one["load"] for one in found.get("exercises", [found])]
    return [
        (_load(one, "mean"), _load(one, "mean_low"), _load(one, "mean_high"), one["repetitions"]) for one in loads
    ]


def _load(load: dict[str, float], key: str) -> float:
    """In newton metres, or newtons of a path, with the digits of a load step."""
    return round(load[f"{key}_nm"] if f"{key}_nm" in load else load[f"{key}_n"], 4)


def _said_everywhere(line: CaseloadLine, setup: Sequence[Setup]) -> None:
    """The row, the page of the client and the line of each exercise beside the setup."""
    content = shipped()
    texts = [one.stands for one in line.exercises] or [stands_text(line.client, content)]
    for text, (mean, low, high, repetitions) in zip(texts, setup, strict=True):
        assert f" {mean:.2f} N" in text
        assert f"{low:.1f} to {high:.1f}" in text
        assert f"{repetitions} rep" in text
    mean, low, high, _ = setup[0]
    assert line.cells[2] == f"{mean:.1f} ({low:.1f}-{high:.1f})"
    assert (line.mean, round(line.load, 4)) == (f"{mean:.1f}", mean)


@pytest.mark.parametrize("signed", SIGNED)
def test_after_an_instruction(signed: str, demo_profiles: Path, capsys: pytest.CaptureFixture[str]) -> None:
    name, exercise, what = SIGNED[signed]
    client = demo_profiles / name
    if what:
        _steer(client, exercise, what)
    line = next(one for one in caseload_lines(demo_profiles) if one.folder == name)
    _said_everywhere(line, _setup(client, capsys))


def test_after_a_range_measured_at_a_visit(demo_profiles: Path, capsys: pytest.CaptureFixture[str]) -> None:
    client = demo_profiles / "heron"
    before = _setup(client, capsys)
    assert main(["visit", str(client), "ranges.external.90.right.active_deg=60", *BY]) == 0
    after = _setup(client, capsys)
    assert after != before
    _said_everywhere(next(one for one in caseload_lines(demo_profiles) if one.folder == "heron"), after)


def test_before_the_first_session(demo_profiles: Path, capsys: pytest.CaptureFixture[str]) -> None:
    line = next(one for one in caseload_lines(demo_profiles) if one.folder == "tern")
    assert line.client.sessions == 0
    _said_everywhere(line, _setup(demo_profiles / "tern", capsys))


def test_where_no_load_can_be_planned_none_is_said(demo_profiles: Path) -> None:
    profile = demo_profiles / "tern" / "profile.toml"
    text = profile.read_text(encoding="utf-8")
    assert "force_n = 52.0" in text
    profile.write_text(text.replace("force_n = 52.0", "force_n = 5.0"), encoding="utf-8")
    line = next(one for one in caseload_lines(demo_profiles) if one.folder == "tern")
    assert line.client.obstacle == "load"
    assert (line.cells[2], line.mean, line.load) == ("-", "-", 0.0)
    assert "no load step yet" in stands_text(line.client, shipped())
