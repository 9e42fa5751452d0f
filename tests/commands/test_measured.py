"""The command for measured sets: what it shows, keeps and refuses, and where it is seen afterwards."""

import csv
import shutil
import subprocess
import sys
from datetime import timedelta
from pathlib import Path
from unittest.mock import Mock

import pytest

from coach.cli import main
from coach.commands.clinic.courses import course_of, courses_of
from coach.commands.support.loading import plan_of_exercise
from coach.commands.support.output import FAULTS, FINE, NOT_NOW, USAGE
from coach.model.measured.measured_set import MeasuredSet
from coach.reports.text.forecast import forecast_text
from coach.reports.text.history import client_history_text
from coach.reports.text.results.letter import letter_as_text, letter_text
from coach.store.client_paths import MEASURED
from coach.store.client_store import ClientStore
from coach.store.measured_sets.measured_files import keep_measured
from coach.store.measured_sets.of_client import course_of as measured_of
from coach.store.measured_sets.of_client import last_time_lines
from coach.toml.diagnostic import FileFault
from coach.toml.reader import read_model
from tests.demo.forearm_table import ROWS_A_SECOND, table_text
from tests.demo.pristine import DEMO, TREE
from tests.journeys.terminal import Terminal

TABLE = DEMO / "forearm.csv"
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
    assert "Your way back took 2 seconds (±0.1); it should take 3." in said
    before = {path: path.read_bytes() for path in _kept(heron)}
    one = read_model(next(iter(before)), MeasuredSet)
    assert (one.record, one.set, one.count, len(one.repetition)) == ("2026-11-20T181000.toml", 1, 12, 12)
    assert _measured(heron, "--set", "1", "--yes") == FINE
    assert [path.name for path in _kept(heron)] == ["2026-11-20T181000-set1-2.toml", "2026-11-20T181000-set1.toml"]
    assert {path: path.read_bytes() for path in before} == before


def test_a_table_whose_name_a_terminal_would_turn_round_is_kept(heron: Path, tmp_path: Path, capsys: Printed) -> None:
    """Its name is kept as it is shown; a set that no file may hold is refused as any other input."""
    table = Path(shutil.copy(TABLE, tmp_path / "arm\u202evsc.csv"))
    assert _measured(heron, "--set", "1", "--yes", table=table) == FINE
    (path,) = _kept(heron)
    kept = read_model(path, MeasuredSet)
    assert kept.table == "arm\N{REPLACEMENT CHARACTER}vsc.csv"
    with pytest.raises(FileFault, match="nothing was written, because it could not be read again: count"):
        keep_measured(heron, [kept, kept.model_copy(update={"count": 201})])
    assert _kept(heron) == [path]
    assert "Traceback" not in capsys.readouterr().err


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
    assert "Set 2, measured: 12 repetitions, 4 at tempo; usually 2.2 s out, 1.5 s held, 2 s back (each ±0.1)." in told
    assert differs in told
    assert main(["export", str(heron), "--csv", "--to", str(tmp_path / "heron.csv")]) == FINE
    table = csv.DictReader((tmp_path / "heron.csv").read_text(encoding="utf-8-sig").splitlines())
    (measured,) = [row for row in table if row["measured_repetitions"]]
    assert measured["date"] == "2026-11-18"
    cells = [float(cell) for name, cell in measured.items() if name.startswith("measured_")]
    assert cells[:5] == pytest.approx([12, 4, 2.2, 1.5, 2.0], abs=0.06)


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
    terminal.child.send(keys)  # once: another Ctrl-C while the process ends would be one for the interpreter
    assert terminal.ends() == code
    assert len(_kept(heron)) == kept


_STOPPED = """
import os, signal, sys
from coach import cli
class Last:
    def __del__(self, end=os.kill, itself=os.getpid(), by=signal.SIGINT):
        end(itself, by)
last = Last()
def stop(_):
    raise KeyboardInterrupt
setattr(cli, sys.argv.pop(1), stop)
sys.exit(cli.main())
"""


@pytest.mark.parametrize("at", ["parser_of", "_started"])
def test_ctrl_c_once_more_while_the_process_ends_changes_nothing(at: str) -> None:
    """The first before the command runs or in it; the second when the interpreter has given up its own handler."""
    done = subprocess.run(
        [sys.executable, "-c", _STOPPED, at, "check"], cwd=TREE, capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "")


def _twice(path: Path, pause_s: float, began_at: float) -> Path:
    """The table, and after a pause of stillness once more; its times are those of the day."""
    names, *rows = TABLE.read_text(encoding="utf-8").splitlines()
    values = [row.partition(",")[2] for row in rows]
    whole = [*values, *[values[-1]] * round(pause_s * ROWS_A_SECOND), *values]
    lines = [f"{began_at + number / ROWS_A_SECOND:.2f},{row}" for number, row in enumerate(whole)]
    path.write_text("\n".join([names, *lines]), encoding="utf-8")
    return path


def test_the_sets_of_another_session_in_the_table_are_left_out(heron: Path, tmp_path: Path, capsys: Printed) -> None:
    """By the time of day: the second half of the table is of the session, the first was an hour before."""
    judged = ClientStore.read(heron).sessions[-1].record
    rows = len(TABLE.read_text(encoding="utf-8").splitlines()) - 1
    first = judged.sets_done[0].at.timestamp() - 3600 - 2 * rows / ROWS_A_SECOND
    table = _twice(tmp_path / "both.csv", 3600, first)
    assert _measured(heron, "--session", f"{judged.started:%Y-%m-%d}", "--yes", table=table) == FINE
    told = " ".join(capsys.readouterr().out.split())
    assert "Sets of another session in this table, which are left out: 1." in told
    assert "The repetition without the band" in told
    (kept,) = _kept(heron)
    assert kept.name.endswith("set1.toml")
    assert read_model(kept, MeasuredSet).repetition[0].began_s > 3600


def test_in_german(heron: Path, capsys: Printed) -> None:
    profile = heron / "profile.toml"
    profile.write_text(profile.read_text("utf-8").replace('language = "en"', 'language = "de"'), encoding="utf-8")
    assert _measured(heron, "--set", "1", "--yes") == FINE
    said = capsys.readouterr().out
    assert "Satz 1 der Einheit vom" in said
    assert "Der Rückweg dauerte 2 Sekunden (±0,1); er soll 3 dauern." in said
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
    assert "this file is damaged" in " ".join(told.split())
    assert main(["check", str(heron)]) == FAULTS


def test_without_the_extra_it_says_how_to_install_it(
    heron: Path, monkeypatch: pytest.MonkeyPatch, capsys: Printed
) -> None:
    monkeypatch.setattr("importlib.util.find_spec", lambda name: None if name == "vqf" else object())
    assert _measured(heron, "--set", "1") == USAGE
    assert 'pip install "steady-arc[motion]"' in capsys.readouterr().err


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
    assert terminal.ends_by("jj\n") == FINE
    assert len(_kept(heron)) == 1


def _renamed(tmp_path: Path) -> Path:
    """The table with column names that say nothing."""
    names, *rows = TABLE.read_text(encoding="utf-8").splitlines()
    table = tmp_path / "renamed.csv"
    table.write_text("\n".join([",".join(f"c{place}" for place, _ in enumerate(names.split(","))), *rows]), "utf-8")
    return table


def test_columns_are_told_once_and_remembered(heron: Path, tmp_path: Path, capsys: Printed) -> None:
    """By what was kept of this client, and for the other clients of the clinic, whose table is named.

    A link that leads nowhere among the others' files, and a file that is damaged, are passed over.
    """
    table = _renamed(tmp_path)
    assert _measured(heron, "--set", "1", "--yes", table=table) == FAULTS
    assert "say which they are" in capsys.readouterr().err
    told = ("--columns", "c0,c1,c2,c3,c4,c5,c6", "--units", "s,m/s2,deg/s")
    assert _measured(heron, "--set", "1", "--yes", *told, table=table) == FINE
    capsys.readouterr()
    assert _measured(heron, "--set", "2", "--yes", table=table) == FINE
    assert "as they were named for an earlier table, renamed.csv" in " ".join(capsys.readouterr().out.split())
    other = Path(shutil.copytree(heron, heron.with_name("egret"), ignore=shutil.ignore_patterns(MEASURED)))
    (heron / MEASURED / "nowhere.toml").symlink_to("nowhere.toml")
    damaged = heron / MEASURED / "newest.toml"
    damaged.write_text(_kept(heron)[0].read_text("utf-8").replace('"c0"', '"c1"', 1), encoding="utf-8")
    assert _measured(other, "--set", "2", "--yes", table=table) == FINE
    assert "as they were named for an earlier table, renamed.csv" in " ".join(capsys.readouterr().out.split())


def test_a_set_that_was_kept_as_another_counts_as_the_one_it_was_kept_as_last(heron: Path, capsys: Printed) -> None:
    for number in ("1", "3"):
        assert _measured(heron, "--set", number, "--yes") == FINE
    capsys.readouterr()
    assert main(["history", str(heron)]) == FINE
    told = capsys.readouterr().out
    assert ("Set 3, measured" in told, "Set 1, measured" in told) == (True, False)


def test_it_asks_which_of_equal_sets_it_is(heron: Path, monkeypatch: pytest.MonkeyPatch, capsys: Printed) -> None:
    typed, asked = iter(("7", "2", "y")), list[str]()

    def answer(question: str) -> str:
        asked.append(question)
        return next(typed)

    monkeypatch.setattr("sys.stdin", Mock(isatty=lambda: True))
    monkeypatch.setattr("builtins.input", answer)
    assert _measured(heron) == FINE
    assert asked[:2] == ["Equal sets leave open which one the first in the table is: 1, 2, 3? "] * 2
    assert "Set 2 of the session" in capsys.readouterr().out
    assert [path.name for path in _kept(heron)] == ["2026-11-20T181000-set2.toml"]


def test_what_was_measured_counts_where_the_client_is_looked_at(heron: Path) -> None:
    """In history, forecast and letter, and at the next start; the measured fault holds where it was chosen."""
    chosen = ("--initials", "AB", "--reason", "a sensor", "--yes")
    assert main(["steer", str(heron), "change", "measured_holds=yes", *chosen]) == FINE
    assert _measured(heron, "--set", "2", "--yes") == FINE
    store = ClientStore.read(heron)
    assert store.progress.ready_sessions == 0
    assert last_time_lines(store) == (
        "Your last session, as a sensor saw it: Your way back took 2 seconds (±0.1); it should take 3. "
        "The sensor found that the tempo was not kept, so nothing goes up after that session.",
    )
    plan, courses = plan_of_exercise(store), courses_of(store)
    at = store.sessions[-1].record.started + timedelta(days=2)
    letter = letter_text(course_of(store, courses), courses, store.prescription, store.content, "client", at.date())
    texts = (
        client_history_text(store),
        forecast_text(plan, 1, at, lives=1, measured=measured_of(store)),
        letter_as_text(letter),
    )
    told = " ".join(" ".join(texts).split())
    for says in (
        "Measured with a sensor: 1 set in 1 of 60 sessions; 4 of 12 repetitions at tempo.",
        "of the sets in which both are known: repetitions 1 of 1, the range 1 of 1, the elbow 1 of 1",
        "Same load. In that session a sensor found that the tempo was not kept",
        "So far a sensor saw 12 repetitions, 4 of them at tempo",
        "On 1 of these days a sensor measured a set; the rest is what you recorded.",
        "Of 12 repetitions that the sensor saw, 4 were at the planned tempo.",
    ):
        assert says in told
