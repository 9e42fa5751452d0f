"""The command in a real terminal: killed, too small, in use, misspelt. What a person sees and what is kept."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from coach.store.client_folder import read_client_folder
from coach.store.lock import lock
from tests.journeys.from_the_wheel import TO_THE_FIRST_SET
from tests.journeys.terminal import Terminal

COACH = [sys.executable, "-m", "coach"]
TREE = Path(__file__).parent.parent.parent


def _session(folder: Path, columns: int = 80, rows: int = 24) -> Terminal:
    return Terminal([*COACH, "session", str(folder)], cwd=TREE, columns=columns, rows=rows)


def _files(folder: Path) -> dict[str, bytes]:
    return {
        str(path): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file() and path.name != ".lock"
    }


@pytest.mark.parametrize(
    ("number", "code"),
    [(signal.SIGKILL, -signal.SIGKILL), (signal.SIGTERM, 128 + signal.SIGTERM), (signal.SIGHUP, -signal.SIGHUP)],
)
def test_ended_from_outside_in_a_set_goes_on_there(demo_profiles: Path, number: signal.Signals, code: int) -> None:
    """Ended by the system in set 1: the next start offers to go on, and every answer is there."""
    folder = demo_profiles / "tern"
    terminal = _session(folder)
    terminal.shows("Today")
    for key, then in TO_THE_FIRST_SET:
        terminal.press(key, then)
    assert terminal.kill(number) == code
    kept = read_client_folder(folder).open_record
    assert kept is not None
    assert list(kept.record.answers.values()) == [0, "none", "none", "yes", "yes", "yes", "yes"]
    again = _session(folder)
    again.shows("Go on where you were?")
    again.press("y", "Setup")
    again.press("q", "End the session here?")
    again.press("y", "Ended early")
    assert again.ends_by("enter") == 0
    assert "No set was done" in " ".join(again.text.split())


def test_who_is_opening_is_said_before_the_pages(demo_profiles: Path) -> None:
    """Read from a disk that is asleep the pages take seconds, and a terminal without a word is typed into again."""
    child = _session(demo_profiles / "tern").child
    assert child.expect_exact([b"Steady Arc ...", b"\x1b[?1049h"]) == 0
    child.expect_exact(b"\x1b[?1049h")
    child.close(force=True)


def test_a_closed_window_ends_the_program(demo_profiles: Path) -> None:
    """With the terminal gone the program leaves at once, and the session is kept."""
    terminal = _session(demo_profiles / "tern")
    terminal.shows("Today")
    assert terminal.vanish()
    assert read_client_folder(demo_profiles / "tern").open_record is not None


def test_ctrl_c_asks_and_ctrl_c_again_keeps(demo_profiles: Path) -> None:
    """A slip of the hand ends nothing; a second one closes and keeps the session."""
    terminal = _session(demo_profiles / "tern")
    terminal.shows("Today")
    terminal.press("ctrl+c", "End the session here?")
    terminal.press("n", "Today")
    terminal.press("ctrl+c", "End the session here?")
    terminal.press("ctrl+c", "Your session is kept as it stands")
    assert read_client_folder(demo_profiles / "tern").open_record is not None


def test_a_terminal_too_small_is_said_and_nothing_is_begun(demo_profiles: Path) -> None:
    """40 by 10: a sentence, a non-zero exit, nothing on the disk."""
    before = _files(demo_profiles / "tern")
    terminal = _session(demo_profiles / "tern", columns=40, rows=10)
    terminal.shows("This terminal is 40 by 10.")
    assert terminal.ends() == 2
    assert _files(demo_profiles / "tern") == before


def test_a_second_session_on_one_profile_is_refused(demo_profiles: Path) -> None:
    """Two at once would write two truths."""
    with lock(demo_profiles / "tern"):
        terminal = _session(demo_profiles / "tern")
        terminal.shows("another session has tern open")
        assert terminal.ends() == 3


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        (["session", "nobody"], 1, "there is no such profile"),
        (["preview", "tren"], 1, "nearest: tern"),
        (["history", "tern/profile.toml"], 1, "there is no such profile"),
        (["check", "nowhere"], 1, "there is no such folder"),
        (["preview"], 2, "PROFILE"),
        (["previw", "tern"], 2, "preview"),
    ],
)
def test_a_wrong_word_is_answered_with_a_sentence(
    demo_profiles: Path, arguments: list[str], code: int, says: str
) -> None:
    """A clear sentence, the right exit code, no traceback, nothing changed on the disk."""
    before = _files(demo_profiles)
    env = {**os.environ, "PYTHONPATH": str(TREE)}
    done = subprocess.run(
        [*COACH, *arguments], cwd=demo_profiles, env=env, capture_output=True, text=True, check=False
    )
    said = done.stdout + done.stderr
    assert done.returncode == code, said
    assert says in said
    assert "Traceback" not in said
    assert _files(demo_profiles) == before


@pytest.mark.parametrize(
    ("name", "old", "new", "place", "says"),
    [
        ("profile.toml", "stature_m = 1.68", 'stature_m = "tall"', "profile.toml:8:13", "is not a number"),
        ("profile.toml", "side = ", "sied = ", "profile.toml:6:1", "side"),
        ("prescription.toml", "sets = 3", "sets = 30", "prescription.toml:11:8", "6"),
        ("prescription.toml", "format = 1", "format = 99", "prescription.toml:3:1", "newer Steady Arc"),
    ],
)
def test_a_slip_in_a_file_is_named_with_its_place(
    demo_profiles: Path, name: str, old: str, new: str, place: str, says: str
) -> None:
    """An unknown key, a wrong type, a value out of bounds, a newer format: each command says where."""
    file = demo_profiles / "tern" / name
    file.write_text(file.read_text().replace(old, new, 1))
    before = _files(demo_profiles)
    for command in ("preview", "history", "check"):
        done = subprocess.run(
            [*COACH, command, str(demo_profiles / "tern")], cwd=TREE, capture_output=True, text=True, check=False
        )
        said = done.stdout + done.stderr
        assert (done.returncode, place in said, says in said) == (1, True, True), said
    assert _files(demo_profiles) == before
