"""Nothing leaves the machine, nothing lies about, nobody else may read."""

import os
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from tests.demo.pristine import TREE
from tests.journeys.from_the_wheel import TO_THE_FIRST_SET
from tests.journeys.terminal import Terminal

# To the first set by lines, past two faults that are shown, then a pain above the limit: a session to its decision.
KEYS = "\n\n0\n1\nn\n\ny\ny\n\ny\ny\n\n\n\np\n1\n1\n9\ny\n"
COMMANDS: tuple[tuple[str, ...], ...] = (
    ("session", "tern", "--plain"),
    ("rehearse", "plover", "--plain", "--speed", "10000"),
    ("preview", "heron", "--decisions"),
    ("forecast", "tern"),
    ("history", "plover", "--rebuild"),
    ("setup", "tern", "--drawing", "out/tern.svg"),
    ("bands", "tern", "--add", "knotted", "120", "14"),
    ("handout", "tern", "--to", "out/tern.pdf"),
    ("take-home", "tern", "--to", "out/home"),
    ("export", "heron", "--fhir", "--to", "out/heron.json"),
    ("export", "heron", "--csv", "--to", "out/heron.csv"),
    ("check", "tern"),
)
_OUTSIDE = ("/dev/null",)


def witnessed(log: Path, arguments: tuple[str, ...], cwd: Path) -> list[str]:
    """What the command did that leaves a trace outside itself."""
    command = [sys.executable, "-m", "tests.privacy.audited", str(log), *arguments]
    env = {**os.environ, "PYTHONPATH": str(TREE), "PYTHONDONTWRITEBYTECODE": "1", "TMPDIR": str(cwd / "nowhere")}
    done = subprocess.run(command, cwd=cwd, env=env, input=KEYS, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return log.read_text().splitlines()


def users_folders() -> tuple[Path, Path]:
    """Where this computer keeps its name as a writer, and the content as it was read."""
    return Path(os.environ["XDG_STATE_HOME"]), Path(os.environ["XDG_CACHE_HOME"])


def judged(lines: list[str], allowed: tuple[Path, ...]) -> None:
    """No socket but the one an event loop wakes itself with, no program, and no file but in these folders."""
    for line in lines:
        what, _, which = line.partition(" ")
        if what == "writes":
            path = (allowed[0].parent / which).resolve()
            assert which in _OUTSIDE or any(path.is_relative_to(folder) for folder in allowed), line
        else:
            assert line == f"socket {int(socket.AF_UNIX)}", line


@pytest.mark.parametrize("arguments", COMMANDS, ids=" ".join)
def test_no_network_no_program_and_no_file_but_where_it_belongs(
    demo_profiles: Path, tmp_path: Path, arguments: tuple[str, ...]
) -> None:
    """Asked of the interpreter; with no folder for temporary files to be had."""
    (demo_profiles / "out").mkdir()
    lines = witnessed(tmp_path / "log", arguments, demo_profiles)
    judged(lines, (demo_profiles / arguments[1], demo_profiles / "out", *users_folders()))


def test_no_network_from_the_screens(demo_profiles: Path, tmp_path: Path) -> None:
    """A session in a terminal, to its decision."""
    log, folder = tmp_path / "log", demo_profiles / "tern"
    terminal = Terminal(
        [sys.executable, "-m", "tests.privacy.audited", str(log), "session", str(folder), "--silent"],
        cwd=TREE,
        env={"PYTHONDONTWRITEBYTECODE": "1", "TMPDIR": str(tmp_path / "nowhere")},
    )
    terminal.shows("Today")
    for key, then in TO_THE_FIRST_SET:
        terminal.press(key, then)
    terminal.press("q", "End the session here?")
    terminal.press("y", "Ended early")
    assert terminal.ends_by("enter") == 0
    assert "No set was done" in " ".join(terminal.text.split())
    judged(log.read_text().splitlines(), (folder, *users_folders()))


def test_the_witness_sees(tmp_path: Path) -> None:
    """A test that must be able to fail: a socket and a file elsewhere are in the log."""
    code = (
        "import sys, socket; sys.argv = ['x']; from tests.privacy import audited; import coach.cli\n"
        f"coach.cli.main = lambda _: (socket.socket(), open({str(tmp_path / 'x')!r}, 'w')) and 0\n"
        f"audited.main({str(tmp_path / 'log')!r})"
    )
    subprocess.run([sys.executable, "-c", code], cwd=TREE, check=True)
    lines = (tmp_path / "log").read_text().splitlines()
    for line in (f"socket {int(socket.AF_INET)}", f"writes {tmp_path / 'x'}"):
        assert line in lines
        with pytest.raises(AssertionError):
            judged([line], (tmp_path / "tern",))


def test_whatever_is_written_is_its_owners_alone(demo_profiles: Path) -> None:
    """Also where the shell would give it to everybody, and where a file was open to others before."""
    folder = demo_profiles / "tern"
    (folder / "progress.toml").write_text("format = 1\n")
    for name in ("profile.toml", "progress.toml"):
        (folder / name).chmod(0o666)
    command = [sys.executable, "-m", "coach"]
    for words in (["bands", "tern", "--add", "knotted", "120", "14"], ["session", "tern", "--plain"],
                  ["export", "tern", "--csv", "--to", "tern/sets.csv"]):  # fmt: skip
        subprocess.run(
            [*command, *words], cwd=demo_profiles, env={**os.environ, "PYTHONPATH": str(TREE)}, input=KEYS,
            capture_output=True, text=True, check=True, umask=0,
        )  # fmt: skip
    modes = {path.name: path.stat().st_mode & 0o777 for path in folder.rglob("*") if path.is_file()}
    assert {name: oct(mode) for name, mode in modes.items() if mode != 0o600 and name != "prescription.toml"} == {}
    assert len(modes) >= 6
    assert (folder / "records").stat().st_mode & 0o777 == 0o700
