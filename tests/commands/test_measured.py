"""The command for measured sets: what it shows, keeps and refuses, and where it is seen afterwards."""

import csv
import shutil
import sys
from pathlib import Path

import pytest

from coach.cli import main
from coach.commands.support.output import FAULTS, FINE, NOT_NOW, USAGE
from coach.model.measured.measured_set import MeasuredSet
from coach.store.client_paths import MEASURED
from coach.toml.reader import read_model
from tests.demo.forearm_table import table_text
from tests.demo.pristine import TREE
from tests.journeys.terminal import Terminal

TABLE = TREE / "demo_profiles" / "forearm.csv"
Printed = pytest.CaptureFixture[str]


@pytest.fixture
def heron(demo_profiles: Path) -> Path:
    """The client whose set the table is."""
    return demo_profiles / "heron"


def _kept(client: Path) -> list[Path]:
    return sorted((client / MEASURED).glob("*"))


def _measured(client: Path, *more: str, table: Path = TABLE) -> int:
    return main(["measured", str(client), str(table), *more])


def test_the_example_is_as_it_was_made() -> None:
    """To the last digit but one: another processor may round otherwise."""
    made, there = (text.splitlines() for text in (table_text(), TABLE.read_text(encoding="utf-8")))
    assert (made[0], len(made)) == (there[0], len(there))
    for one, other in zip(made[1:], there[1:], strict=True):
        assert [float(cell) for cell in one.split(",")] == pytest.approx(
            list(map(float, other.split(","))), abs=0.011
        )


def test_what_is_kept_can_be_read_and_is_only_added_to(heron: Path, capsys: Printed) -> None:
    assert _measured(heron, "--set", "1", "--yes") == FINE
    said = capsys.readouterr().out
    assert "Set 1 of the session of 2026-11-20 18:10: 12 repetitions" in said
    assert "Your way back took 2 seconds; it should take 3." in said
    before = {path: path.read_bytes() for path in _kept(heron)}
    one = read_model(next(iter(before)), MeasuredSet)
    assert (one.record, one.set, one.count, len(one.repetition)) == ("2026-11-20T181000.toml", 1, 12, 12)
    assert _measured(heron, "--set", "1", "--yes") == FINE
    assert [path.name for path in _kept(heron)] == ["2026-11-20T181000-set1-2.toml", "2026-11-20T181000-set1.toml"]
    assert {path: path.read_bytes() for path in before} == before


def test_the_progress_is_what_it_was(heron: Path) -> None:
    """A measured set decides nothing."""
    assert main(["history", str(heron), "--rebuild"]) == FINE  # which moves the client to the newest format
    before = (heron / "progress.toml").read_bytes()
    assert _measured(heron, "--set", "1", "--yes") == FINE
    assert main(["history", str(heron), "--rebuild"]) == FINE
    assert (heron / "progress.toml").read_bytes() == before


def test_history_and_table_show_it_beside_what_was_recorded(heron: Path, tmp_path: Path, capsys: Printed) -> None:
    assert _measured(heron, "--session", "2026-11-18", "--set", "2", "--yes") == FINE
    said = capsys.readouterr().out
    differs = "The session recorded 10 repetitions, the sensor saw 12."
    assert differs in said
    assert main(["history", str(heron)]) == FINE
    told = " ".join(capsys.readouterr().out.split())
    assert "Set 2, measured: 12 repetitions, 5 at tempo; usually 2.2 s out, 1.5 s held, 2 s back." in told
    assert differs in told
    assert main(["export", str(heron), "--csv", "--to", str(tmp_path / "heron.csv")]) == FINE
    table = csv.DictReader((tmp_path / "heron.csv").read_text(encoding="utf-8-sig").splitlines())
    (measured,) = [row for row in table if row["measured_repetitions"]]
    assert measured["date"] == "2026-11-18"
    cells = [float(cell) for name, cell in measured.items() if name.startswith("measured_")]
    assert cells[:5] == pytest.approx([12, 5, 2.2, 1.5, 2.0], abs=0.06)


@pytest.mark.parametrize(("more", "says"), [
    ((), "say which set the first one is: --set N"),
    (("--set", "4"), "do not fit: the session has 3"),
    (("--set", "0"), "sets are counted from 1"),
    (("--set", "1", "--session", "2026-01-01"), "no session was started at 2026-01-01"),
    (("--set", "1", "--session", "2026-11"), "sessions with a set were started at 2026-11"),
    (("--set", "1", "--columns", "1,2"), "--columns names 2 columns; name seven"),
    (("--set", "1", "--units", "s,g,miles"), "miles is no unit of turning rate; use one of rad/s, deg/s"),
])  # fmt: skip
def test_what_is_left_open_is_asked_for(heron: Path, more: tuple[str, ...], says: str, capsys: Printed) -> None:
    assert _measured(heron, *more, "--yes") == USAGE
    assert says in capsys.readouterr().err
    assert _kept(heron) == []


def test_units_that_the_values_contradict(heron: Path, capsys: Printed) -> None:
    assert _measured(heron, "--set", "1", "--units", "s,m/s2,rad/s", "--yes") == FAULTS
    assert "said to be in rad/s" in capsys.readouterr().err
    assert _kept(heron) == []


def test_a_table_with_no_set_of_the_exercise(demo_profiles: Path, capsys: Printed) -> None:
    """The turning forearm of heron, with the arm at shoulder height, is not the rotation with the arm at the side."""
    assert _measured(demo_profiles / "plover", "--set", "1", "--yes") == FAULTS
    assert "there is no set in this table" in capsys.readouterr().err


def test_a_client_without_a_session(demo_profiles: Path, capsys: Printed) -> None:
    assert _measured(demo_profiles / "tern", "--yes") == USAGE
    assert "there is no session with a set" in capsys.readouterr().err


def test_without_a_terminal_nothing_is_kept(heron: Path, capsys: Printed) -> None:
    assert _measured(heron, "--set", "1") == NOT_NOW
    assert "add --yes" in capsys.readouterr().err
    assert _kept(heron) == []


@pytest.mark.parametrize(("keys", "code", "kept"), [("x\n", NOT_NOW, 0), ("\x03", 130, 0), ("y\n", FINE, 1)])
def test_it_asks_before_it_keeps(keys: str, code: int, kept: int, heron: Path) -> None:
    line = [sys.executable, "-m", "coach", "measured", str(heron), str(TABLE), "--set", "1"]
    terminal = Terminal(line, cwd=TREE, env={"PYTHONPATH": str(TREE)})
    terminal.shows("Keep this? y/n")
    assert terminal.ends_by(keys) == code
    assert len(_kept(heron)) == kept


def test_in_german(heron: Path, capsys: Printed) -> None:
    profile = heron / "profile.toml"
    profile.write_text(profile.read_text("utf-8").replace('language = "en"', 'language = "de"'), encoding="utf-8")
    assert _measured(heron, "--set", "1", "--yes") == FINE
    said = capsys.readouterr().out
    assert "Satz 1 der Einheit vom" in said
    assert "Der Rückweg dauerte 2 Sekunden; er soll 3 dauern." in said
    assert "2,1" in said


def test_a_kept_file_that_is_damaged_is_reported_and_the_others_count(heron: Path, capsys: Printed) -> None:
    assert _measured(heron, "--set", "1", "--yes") == FINE
    assert _measured(heron, "--set", "2", "--yes") == FINE
    first = _kept(heron)[0]
    first.write_text(first.read_text("utf-8").replace("count = 12", 'count = "many"'), encoding="utf-8")
    capsys.readouterr()
    assert main(["history", str(heron)]) == FINE
    told = capsys.readouterr().out
    assert "Set 2, measured" in told
    assert "Set 1, measured" not in told
    assert "count" in told
    assert main(["check", str(heron)]) == FAULTS


def test_without_the_extra_it_says_how_to_install_it(
    heron: Path, monkeypatch: pytest.MonkeyPatch, capsys: Printed
) -> None:
    monkeypatch.setattr("importlib.util.find_spec", lambda name: None if name == "vqf" else object())
    assert _measured(heron, "--set", "1") == USAGE
    assert "pip install 'steady-arc[motion]'" in capsys.readouterr().err


def test_a_backup_holds_it(heron: Path, tmp_path: Path) -> None:
    assert _measured(heron, "--set", "1", "--yes") == FINE
    assert main(["backup", str(heron), "--to", str(tmp_path / "heron.zip")]) == FINE
    assert main(["restore", str(tmp_path / "heron.zip"), "--to", str(tmp_path / "back")]) == FINE
    assert [path.read_bytes() for path in sorted((tmp_path / "back").rglob("*-set1.toml"))] == [
        path.read_bytes() for path in _kept(heron)
    ]


def test_the_table_is_left_as_it_was(heron: Path, tmp_path: Path) -> None:
    copy = Path(shutil.copy(TABLE, tmp_path / "own.csv"))
    assert _measured(heron, "--set", "1", "--yes", table=copy) == FINE
    assert copy.read_bytes() == TABLE.read_bytes()


def test_the_german_yes_is_a_yes(heron: Path) -> None:
    profile = heron / "profile.toml"
    profile.write_text(profile.read_text("utf-8").replace('language = "en"', 'language = "de"'), encoding="utf-8")
    line = [sys.executable, "-m", "coach", "measured", str(heron), str(TABLE), "--set", "1"]
    terminal = Terminal(line, cwd=TREE, env={"PYTHONPATH": str(TREE)})
    terminal.shows("Aufheben? j/n")
    assert terminal.ends_by("j\n") == FINE
    assert len(_kept(heron)) == 1
