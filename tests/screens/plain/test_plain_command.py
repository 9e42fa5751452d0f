"""Plain mode and rehearsal by command: pipes, closed input, simple terminals, and the files that remain."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from coach.store.client_folder import read_client_folder
from tests.demo.pristine import TREE
from tests.journeys.terminal import Terminal
from tests.plans import shipped

COACH = [sys.executable, "-m", "coach"]


def run(*arguments: str, typed: str | None = None, **env: str) -> subprocess.CompletedProcess[str]:
    """The command with its input and output as pipes; without `typed` the input is empty."""
    return subprocess.run(
        [*COACH, *arguments],
        cwd=TREE,
        env={**os.environ, **env},
        input=typed or "",
        capture_output=True,
        text=True,
        check=False,
    )


def files(folder: Path) -> dict[str, bytes]:
    """Everything in a folder."""
    return {str(path): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


@pytest.fixture
def answers(tmp_path: Path) -> Path:
    """Answers with a fault in set 2."""
    path = tmp_path / "answers.toml"
    path.write_text('format = 1\n[answer]\n"set_2.blade" = "yes"\n"set_2.blade_often" = "no"\n')
    return path


def test_a_whole_rehearsal_through_a_pipe_with_nobody_and_nothing_kept(demo_profiles: Path, answers: Path) -> None:
    """Ends with the decision; every page says that it is a rehearsal; not a byte is written."""
    before = files(demo_profiles)
    done = run("rehearse", str(demo_profiles / "tern"), "--plain", "--speed", "10000", "--answers", str(answers))
    assert (done.returncode, done.stderr) == (0, "")
    assert f"Rule: {shipped().messages.rules.rule['unclean'].short}." in done.stdout
    assert "This was a rehearsal: nothing of it is kept." in done.stdout
    blocks = done.stdout.split("\n\n")
    assert len(blocks) > 30
    assert all("Rehearsal: " in block for block in blocks)
    assert files(demo_profiles) == before


def test_a_rehearsal_says_the_same_at_every_speed(demo_profiles: Path, answers: Path) -> None:
    told = {
        run("rehearse", str(demo_profiles / "plover"), "--speed", speed, "--answers", str(answers)).stdout
        for speed in ("3000", "10000")
    }
    assert len(told) == 1


def test_a_rehearsal_leads_where_the_preview_says(demo_profiles: Path, answers: Path) -> None:
    """The same file of answers, the same decision."""
    rehearsed = run("rehearse", str(demo_profiles / "tern"), "--speed", "10000", "--answers", str(answers)).stdout
    previewed = " ".join(run("preview", str(demo_profiles / "tern"), "--answers", str(answers)).stdout.split())
    end = rehearsed.split("Rehearsal: Done for today\n")[1].splitlines()
    reason = next(line for line in end if line.startswith("Not every set was"))
    assert reason in previewed


def test_a_rehearsal_leaves_a_torn_record_alone(demo_profiles: Path, answers: Path) -> None:
    record = sorted((demo_profiles / "plover" / "records").glob("*.toml"))[-1]
    record.write_bytes(record.read_bytes() + b'\n[[entry]]\nkind = "ans')
    before = files(demo_profiles)
    done = run("rehearse", str(demo_profiles / "plover"), "--speed", "10000", "--answers", str(answers))
    assert done.returncode == 0
    assert files(demo_profiles) == before


def test_a_client_in_review_may_be_rehearsed_and_not_trained(demo_profiles: Path, answers: Path) -> None:
    """The therapist may see what a session would be; the client does none."""
    folder = demo_profiles / "tern"
    stopped = run("session", str(folder), typed="\n\n0\n1\n1\ny\n")
    assert stopped.returncode == 0
    assert run("session", str(folder), typed="\n").returncode == 3
    assert run("rehearse", str(folder), "--speed", "10000", "--answers", str(answers)).returncode == 0


@pytest.mark.parametrize(
    ("extra", "says"),
    [
        (["--speed", "fast"], "fast is not a speed: use a number from 0.1 to 10000"),
        (["--speed", "0"], "0 is not a speed"),
        (["--speed", "nan"], "nan is not a speed"),
    ],
)
def test_a_speed_that_is_none_is_refused(demo_profiles: Path, extra: list[str], says: str) -> None:
    done = run("rehearse", str(demo_profiles / "tern"), *extra)
    assert done.returncode == 2
    assert says in done.stderr


def test_an_answer_that_no_question_takes_is_said_at_once(demo_profiles: Path, tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.toml"
    wrong.write_text('format = 1\n[answer]\n"set_2.blade" = "perhaps"\n')
    done = run("rehearse", str(demo_profiles / "tern"), "--plain", "--answers", str(wrong))
    assert (done.returncode, done.stdout) == (1, "")
    assert "set_2.blade does not take 'perhaps': answer one of never, once, more_than_once, not_sure" in done.stderr


def test_without_a_terminal_a_session_is_told_in_lines(demo_profiles: Path) -> None:
    """Keys through a pipe that ends early: a message, the session kept, and a non-zero exit code."""
    folder = demo_profiles / "tern"
    done = run("session", str(folder), typed="\n\n0\n1\nn\n", NO_COLOR="1")
    assert done.returncode == 4
    assert "Today: Arm at your side (0 degrees)\n" in done.stdout
    assert done.stdout.endswith("Start the same command again to go on.\n")
    assert "\x1b" not in done.stdout
    kept = read_client_folder(folder).open_record
    assert kept is not None
    assert kept.record.answers == {"check_in.pain_now": 0, "check_in.relief": "none", "check_in.sign": "none"}


@pytest.mark.parametrize("extra", [[], ["--plain"]])
def test_an_empty_input_begins_nothing(demo_profiles: Path, extra: list[str]) -> None:
    before = files(demo_profiles)
    done = run("session", str(demo_profiles / "tern"), *extra)
    assert done.returncode == 2
    assert "nothing can be typed here" in done.stderr
    assert {name: text for name, text in files(demo_profiles).items() if not name.endswith(".lock")} == before


def test_when_the_reader_goes_the_session_is_kept(demo_profiles: Path) -> None:
    """The other end of the output is closed: no traceback, a non-zero exit, the record open."""
    folder = demo_profiles / "tern"
    child = subprocess.Popen(
        [*COACH, "session", str(folder)],
        cwd=TREE,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert child.stdin is not None
    assert child.stdout is not None
    assert child.stderr is not None
    child.stdin.write("\n")
    child.stdin.flush()
    child.stdout.readline()
    child.stdout.close()
    child.stdin.write("\n\n\n\n\n\n")
    child.stdin.flush()
    said = child.stderr.read()
    assert child.wait() == 4
    assert "Your session is kept as it stands." in said
    assert "Traceback" not in said
    child.stdin.close()
    child.stderr.close()
    assert read_client_folder(folder).open_record is not None


@pytest.mark.parametrize(("extra", "env"), [(["--plain"], {}), ([], {"TERM": "dumb"})])
def test_in_a_terminal_lines_and_ctrl_c_keeps(demo_profiles: Path, extra: list[str], env: dict[str, str]) -> None:
    """On request, or in a terminal that cannot position its cursor; even in one too small for screens."""
    folder = demo_profiles / "tern"
    terminal = Terminal([*COACH, "session", str(folder), *extra], cwd=TREE, columns=50, rows=40, env=env)
    terminal.shows("Enter alone: go on; p: pain or trouble")
    terminal.press("enter", "Before you begin")
    terminal.press("ctrl+c", "Your session is kept as it stands.")
    assert terminal.ends() == 130
    assert read_client_folder(folder).open_record is not None


def test_lines_are_broken_between_words_where_a_terminal_is_narrow(demo_profiles: Path) -> None:
    terminal = Terminal([*COACH, "rehearse", str(demo_profiles / "tern"), "--plain"], cwd=TREE, columns=50, rows=30)
    terminal.shows("?: all keys.")
    rows = [row.rstrip() for row in terminal.text.splitlines()]
    start = next(number for number, row in enumerate(rows) if row.startswith("You train"))
    assert " ".join(rows[start : start + 2]).startswith("You train the small muscles that turn your arm outward and")
    terminal.press("ctrl+c", "nothing of it is kept")
    assert terminal.ends() == 130


def test_a_small_terminal_still_refuses_the_screens_and_names_the_way_out(demo_profiles: Path) -> None:
    before = files(demo_profiles)
    terminal = Terminal([*COACH, "rehearse", str(demo_profiles / "tern")], cwd=TREE, columns=40, rows=10)
    terminal.shows("to have it line by line")
    assert terminal.ends() == 2
    assert files(demo_profiles) == before
