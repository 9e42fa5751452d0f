"""A fault of the program gives a report to pass on, with nothing of the client's in it."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from coach import __version__
from coach.commands.support.crash_report import crash_line
from coach.model.record import Answered
from coach.store.programme.upgrade import upgrade
from coach.store.records.record_file import RecordAppender
from tests.clocks import START
from tests.demo.pristine import TREE

# Made up; in the message, a local variable, a path, a cause.
SECRETS = ("wedge clay", "chest_pain", "pain is 9", "/home/somebody", "tern")


def broken() -> BaseException:
    """An error of the program, come about by another, with health data wherever an error can hold any."""
    where = Path("/home/somebody/tern/records/none.toml")
    try:
        try:
            RecordAppender(where).append((Answered(at=START, step="check_in.sign", value="chest_pain"),))
        except FileNotFoundError as first:
            goal = "wedge clay"
            raise ValueError(f"her pain is 9, goal {goal}") from first
    except ValueError as error:
        caught = error
    return caught


def test_the_report_names_places_and_nothing_of_the_client() -> None:
    report = crash_line(broken())
    assert "ValueError" in report
    assert "FileNotFoundError" in report
    assert "store/records/record_file.py, line" in report
    assert f"steady-arc {__version__}" in report
    assert "Nothing was sent" in report
    assert not [secret for secret in SECRETS if secret in report]
    assert str(TREE) not in report


def test_errors_that_lead_to_each_other_end() -> None:
    one, other = ValueError(), KeyError()
    one.__cause__, other.__cause__ = other, one
    assert crash_line(one).count("ValueError") == 2


@pytest.mark.parametrize("command", ["preview", "history", "session"])
def test_the_command_ends_with_the_report_and_its_exit_code(demo_profiles: Path, command: str) -> None:
    """No traceback, no file, exit code 70."""
    upgrade(demo_profiles / "tern")  # which a session does
    before = sorted(path for path in demo_profiles.rglob("*") if path.name != ".lock")
    code = (
        "import sys, coach.store.client_store as s\n"
        "def fails(*_): raise KeyError('chest_pain of tern')\n"
        "s.fold_steps = fails\n"
        "import coach.cli; sys.exit(coach.cli.main(sys.argv[1:]))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, command, str(demo_profiles / "tern")],
        cwd=TREE, env={**os.environ, "COLUMNS": "80"}, input="\n", capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 70
    assert "A fault in the program itself: KeyError at" in done.stderr
    assert "Traceback" not in done.stderr
    assert "chest_pain" not in done.stdout + done.stderr
    assert sorted(path for path in demo_profiles.rglob("*") if path.name != ".lock") == before
