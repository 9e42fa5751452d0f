"""The start files: the one for Linux is run, in a folder with spaces, umlauts and signs of a shell in its name.

Those for Windows and Mac cannot be run here; their texts are looked at for what makes such files fail.
"""

import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from coach.model.messages.at_home import TakeHomeMessages
from coach.store.home.start_files import LINUX, MAC, PROGRAM, TEXTS, WINDOWS
from coach.store.home.take_home_folder import TakeHome, write_take_home
from tests.plans import shipped

ODD = "Übung & mehr (1) 100% $HOME 'so' ^!"
_TOOLS = ("sh", "cat", "dirname", "rm", "mkdir", "chmod", "printf", "touch")
# Stands for Python and for what it makes: it says what it was asked, and makes the folder of the program.
_PYTHON = """#!/bin/sh
case "$*" in
  *version_info*) exit {suits} ;;
  *"import coach"*) exit 0 ;;
  *venv*) mkdir -p "$4/bin" && rm -f "$4/bin/python" && cp "$0" "$4/bin/python" && echo "asked: made $3" ;;
  *pip*) echo "asked: $*"; exit {installs} ;;
  *) echo "asked: $*"; for one; do echo "word: $one"; done; exit 7 ;;
esac
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    messages = shipped().messages.client.take_home
    said = {name: f"({name})\n" for name in TEXTS}
    write_take_home(tmp_path / ODD, TakeHome(messages, {"coach-1.whl": b"PK"}, None, "read", said))
    return tmp_path / ODD


def run(folder: Path, tmp_path: Path, suits: int = 0, installs: int = 0, typed: str = "\n\n") -> tuple[int, str]:
    """The start file, in a home and with tools of its own; its exit code and what it shows."""
    tools, home = tmp_path / "tools", tmp_path / "home of somebody"
    home.mkdir(exist_ok=True)
    tools.mkdir(exist_ok=True)
    for name in (*_TOOLS, "cp"):
        if not (tools / name).exists():
            (tools / name).symlink_to(str(shutil.which(name)))
    (tools / "python3").write_text(_PYTHON.format(suits=suits, installs=installs))
    (tools / "python3").chmod(0o755)
    done = subprocess.run(
        [folder / "Start on Linux.sh"],
        env={"HOME": str(home), "PATH": str(tools)},
        cwd=tmp_path,
        input=typed,
        capture_output=True,
        text=True,
        check=False,
    )
    return done.returncode, done.stdout + done.stderr


def test_the_first_time_it_installs_and_then_opens_the_session(folder: Path, tmp_path: Path) -> None:
    program = tmp_path / "home of somebody" / ".local" / "share" / "steady-arc" / "program"
    code, said = run(folder, tmp_path)
    assert code == 7  # what the session ended with
    installs = f"asked: -I -m pip install --quiet --disable-pip-version-check {folder / PROGRAM}/coach-1.whl"
    begins = f"asked: -I -m coach begin {folder}"
    places = [said.index(part) for part in ("(installing)", "asked: made", installs, begins, "(close)")]
    assert places == sorted(places)
    assert f"word: {folder}\n" in said
    assert (program / "installed").exists()
    code, said = run(folder, tmp_path)
    assert (code, "(installing)" in said, begins in said) == (7, False, True)


def test_where_it_cannot_be_installed_it_says_so_and_begins_anew_next_time(folder: Path, tmp_path: Path) -> None:
    code, said = run(folder, tmp_path, installs=1)
    assert (code, "(not_installed)" in said, "coach begin" in said) == (1, True, False)
    assert not (tmp_path / "home of somebody" / ".local" / "share" / "steady-arc" / "program").exists()
    assert run(folder, tmp_path)[0] == 7


def test_where_its_python_is_gone_it_is_installed_anew(folder: Path, tmp_path: Path) -> None:
    """As after a new version of the system, when the virtual environment leads nowhere."""
    run(folder, tmp_path)
    program = tmp_path / "home of somebody" / ".local" / "share" / "steady-arc" / "program"
    (program / "bin" / "python").unlink()
    (program / "bin" / "python").symlink_to("/nowhere/python3.11")
    code, said = run(folder, tmp_path)
    assert (code, "(installing)" in said) == (7, True)


def test_without_python_it_says_so(folder: Path, tmp_path: Path) -> None:
    code, said = run(folder, tmp_path, suits=1)
    assert (code, "(no_python)" in said, "(installing)" in said) == (1, True, False)


def test_closing_the_window_installs_nothing(folder: Path, tmp_path: Path) -> None:
    code, said = run(folder, tmp_path, typed="")
    assert (code, "asked:" in said) == (1, False)


def test_without_a_terminal_it_opens_one(folder: Path, tmp_path: Path) -> None:
    run(folder, tmp_path)
    terminal = tmp_path / "tools" / "x-terminal-emulator"
    terminal.write_text('#!/bin/sh\necho "terminal: $1 $2"\n')
    terminal.chmod(0o755)
    assert run(folder, tmp_path) == (0, f"terminal: -e {folder / 'Start on Linux.sh'}\n")


@pytest.mark.parametrize("shell", ["sh", "bash", "dash"])
def test_shells_can_read_them(shell: str, folder: Path) -> None:
    for name in ("Start on Linux.sh", "Start on a Mac.command"):
        if shutil.which(shell):
            subprocess.run([shell, "-n", folder / name], check=True)


def test_the_one_for_mac_is_that_for_linux_but_for_its_folder(folder: Path) -> None:
    linux, mac = LINUX.data.decode(), MAC.data.decode()
    assert 'home="$HOME/Library/Application Support/steady-arc/program"\n' in mac
    terminal = re.compile(r"if \[ ! -t 0 \].*?\nfi\n", re.DOTALL)
    own = re.compile(r'home=".*"\n')
    assert own.sub("", terminal.sub("", linux)) == own.sub("", mac)
    assert "x-terminal-emulator" not in mac
    assert os.access(folder / "Start on a Mac.command", os.X_OK)
    assert os.access(folder / "Start on Linux.sh", os.X_OK)


@pytest.mark.parametrize("file", [LINUX, MAC, WINDOWS])
def test_they_hold_nothing_that_an_editor_or_a_code_page_could_change(file: object) -> None:
    assert isinstance(file, type(LINUX))
    text = file.data.decode("ascii")
    assert text.isprintable() or set(text) - set(map(chr, range(32, 127))) <= {"\n", "\r"}
    assert "@" not in text.replace("@echo off", "")


def test_the_one_for_windows_is_written_as_its_shell_reads() -> None:
    """Lines end with CR and LF, or labels are missed; each label is there; each path is in quotes; no quote is
    escaped by a backslash before it; nothing is expanded a second time.
    """
    text = WINDOWS.data.decode("ascii")
    assert text.count("\r\n") == text.count("\n") == text.count("\r")
    lines = text.split("\r\n")
    assert lines[0] == "@echo off"
    assert "setlocal DisableDelayedExpansion" in lines
    gone_to, labels = set(re.findall(r"goto (\w+)", text)), set(re.findall(r"^:(\w+)$", text.replace("\r", ""), re.M))
    assert gone_to <= labels
    for line in lines:
        assert line.count('"') % 2 == 0, line
        assert '\\"' not in line, line
        outside = "".join(line.split('"')[::2])
        assert "%here%" not in outside, line
        assert "%home%" not in outside, line
        assert "%~" not in outside, line
    assert text.index("not_installed\r\n") < text.index(":not_installed")
    assert '"%home%\\Scripts\\python.exe" -I -m coach begin "%here%."' in text


def test_each_text_that_they_show_is_there(folder: Path) -> None:
    shell = {*re.findall(r"say (\w+)", LINUX.data.decode()), "close"} - {"()"}
    batch = set(re.findall(rf"{PROGRAM}\\(\w+)\.txt", WINDOWS.data.decode()))
    assert shell - {"CLOSE"} == batch == set(TEXTS)
    assert {path.name for path in (folder / PROGRAM).glob("*.txt")} == {f"{name}.txt" for name in TEXTS}
    assert b"(close)\r\n" in (folder / PROGRAM / "close.txt").read_bytes()


def test_names_that_some_system_would_not_keep_are_refused() -> None:
    """They come from the content; letters without accents come through every system, memory stick and archive."""
    messages = shipped().messages.client.take_home
    for name in ("Übung", "a/b", "..", "a.b", "", "con:", "x" * 50, "-x"):
        with pytest.raises(ValueError, match="start_linux"):
            TakeHomeMessages.model_validate({**messages.model_dump(), "start_linux": name})
