"""The help of every command: what it says, and that every example in it does what it says, in a real terminal."""

import os
import shutil
import sys
from pathlib import Path

import pytest

from coach.cli import main
from coach.commands.support.output import USAGE
from coach.content_files.content_folder import content_folder
from tests.commands.helps import commands, examples_of, help_of, words_of
from tests.demo.pristine import DEMO, TREE
from tests.journeys.terminal import Terminal

COMMANDS = commands()
ESCAPE = "\x1b"

# An example that leads to pages or asks something: what it shows, and the keys that are typed there.
TYPED: dict[str, tuple[tuple[str, str], ...]] = {
    "coach session demo_profiles/tern": (("Today", "q"), ("End the session here?", "y"), ("enter close", "\r")),
    "coach session demo_profiles/tern --plain": (
        ("Keys, with Enter", "q\n"),
        ("y: end it here", "y\n"),
        ("Enter alone: close", "\n"),
    ),
    "coach rehearse demo_profiles/tern --speed 10": (
        ("Rehearsal: Today", "q"),
        ("End the session here?", "y"),
        ("enter close", "\r"),
    ),
    "coach practice demo_profiles/tern": (("Practice: Find", "\r"), ("enter close", "\r")),
    "coach begin tern_at_home": (("Today", "q"), ("End the session here?", "y"), ("enter close", "\r")),
    "coach session tern": (("Today", "q"), ("End the session here?", "y"), ("enter close", "\r")),
    "coach backup demo_profiles --sealed --to clients.sealed": (
        ("Passphrase:", "four words or more\n"),
        ("The same again:", "four words or more\n"),
    ),
    "coach caseload demo_profiles": (("esc leave", ESCAPE),),
    "coach preview demo_profiles/heron": (("Today: Arm at shoulder height", ESCAPE),),
    "coach intake clients/wren": (("wren: new client", ESCAPE),),
    "coach visit demo_profiles/tern": (("tern: visit", ESCAPE),),
    "coach steer demo_profiles/tern": (("tern: instructions", ESCAPE),),
    'coach steer demo_profiles/tern change dose.sets=2 limits.pain_max=3 --initials KB --reason "sore again"': (
        ("Sign this?", "y\n"),
    ),
    "coach measured demo_profiles/heron demo_profiles/forearm.csv --set 1": (("Keep this? y/n", "y\n"),),
    "coach proof content": ((": today", "q"),),
    "coach proof content --client demo_profiles/heron": ((": today", "q"),),
}


@pytest.fixture
def place(demo_profiles: Path, tmp_path: Path) -> Path:
    """The folder from which a newcomer types the examples, with `coach` beside it; the tones are not waited for."""
    for file in ("answers.toml", "forearm.csv"):
        shutil.copy(DEMO / file, demo_profiles)
    shutil.copytree(content_folder(), tmp_path / "content")
    program = tmp_path / "bin" / "coach"
    program.parent.mkdir()
    code = "import sys, time; time.sleep = lambda _: None; from coach.cli import main; sys.exit(main())"
    program.write_text(f"#!/bin/sh\nexec '{sys.executable}' -c '{code}' \"$@\"\n")
    program.chmod(0o755)
    return tmp_path


@pytest.mark.parametrize("command", COMMANDS)
def test_every_example_runs_as_it_stands(command: str, place: Path) -> None:
    """One after the other, in a terminal of 80 by 24; each ends by itself, or with the keys that are typed."""
    examples = examples_of(command)
    assert [line for line in examples if line.startswith(f"coach {command} ")], f"no example of {command}"
    path = f"{place / 'bin'}{os.pathsep}{os.environ['PATH']}"
    for line in examples:
        terminal = Terminal(["sh", "-c", line], cwd=place, env={"PATH": path, "PYTHONPATH": str(TREE)})
        typed = TYPED.get(line, ())
        for number, (shown, keys) in enumerate(typed):
            terminal.shows(shown)
            if number + 1 < len(typed):
                terminal.press(keys, typed[number + 1][0])
        assert (terminal.ends_by(typed[-1][1]) if typed else terminal.ends()) == 0, f"{line}\n{terminal.text}"


def test_keys_are_typed_in_examples_alone() -> None:
    """Where an example is written otherwise, its keys move with it."""
    assert set(TYPED) <= {line for command in COMMANDS for line in examples_of(command)}


@pytest.mark.parametrize("command", COMMANDS)
def test_examples_are_quoted_as_every_shell_reads_them(command: str) -> None:
    """To the shell of Windows a single quote is a letter like any other."""
    assert [line for line in examples_of(command) if "'" in line] == []


@pytest.mark.parametrize("command", COMMANDS)
def test_a_help_says_what_each_word_and_option_does(command: str) -> None:
    """In lines that stand whole in 80 columns."""
    assert [line for line in help_of(command).splitlines() if len(line) >= 80] == []
    words = words_of(command)
    assert len(words) > 1
    assert [word for word, meaning in words.items() if not meaning] == []


def test_the_list_of_commands_fits_a_terminal_of_24_rows() -> None:
    lines = help_of().splitlines()
    assert len([line for line in lines if line.startswith("  ")]) > 15
    assert len(lines) <= 24
    assert [line for line in lines if len(line) >= 80] == []


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (["sesion", "demo_profiles/tern"], ("sesion: there is no such command", "nearest: session")),
        (["x"], ("x: there is no such command", "coach --help")),
        (["-x", "session", "tern"], ("coach session: it takes no -x",)),
        (["session", "tern", "--plian"], ("coach session: it takes no --plian", "nearest: --plain")),
        (
            ["backup", "tern", "heron", "--to", "b.zip"],
            ("coach backup: heron is one word too many", "expected: coach backup"),
        ),
    ],
)
def test_a_slip_on_the_command_line_is_told_with_the_nearest_right_word(
    typed: list[str], told: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(typed) == USAGE
    said = capsys.readouterr()
    assert [part for part in told if part not in said.err] == []
    assert said.out == ""


def test_the_list_of_commands_names_each(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--help"]) == 0
    listed = capsys.readouterr().out
    assert [name for name in COMMANDS if name not in listed] == []
