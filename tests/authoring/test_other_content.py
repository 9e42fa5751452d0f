"""--content FOLDER: a command runs on another content folder, which is checked first."""

import shutil
from pathlib import Path

import pytest

from coach.cli import main
from coach.commands.support.output import FAULTS, FINE
from coach.content_files.content_folder import content_folder
from tests.authoring.test_check import spoil
from tests.demo.pristine import DEMO

TITLE = "Arm at shoulder height (90 degrees)"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Another content, in which one title differs."""
    path = Path(shutil.copytree(content_folder(), tmp_path / "other", ignore=shutil.ignore_patterns("schema")))
    spoil(path / "en" / "external_rotation.toml", TITLE, "Arm up")
    return path


@pytest.fixture
def clients(tmp_path: Path) -> Path:
    """The demo clients."""
    return Path(shutil.copytree(DEMO, tmp_path / "clients"))


COMMANDS: tuple[tuple[str, ...], ...] = (
    ("preview", "heron", "--text"),
    ("preview", "heron", "--decisions"),
    ("setup", "heron"),
    ("history", "heron"),
    ("history", "heron", "--pictures"),
    ("rehearse", "heron", "--plain", "--speed", "10000", "--answers", "answers.toml"),
    ("session", "heron", "--plain"),
    ("handout", "heron", "--to", "page.pdf"),
    ("export", "heron", "--csv", "--to", "table.csv"),
    ("caseload", ".", "--plain"),
    ("steer", "heron", "freeze_load", "2030-01-01", "--initials", "KB", "--reason", "x"),
    ("intake", "wren", "--from", "tern"),
    ("check", "."),
)


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_faults_of_the_other_content_are_told_before_the_command_runs(
    folder: Path,
    clients: Path,
    command: tuple[str, ...],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(clients)
    spoil(folder / "limits.toml", 'name = "pain_max"', 'name = "pain_maks"')
    before = sorted(path.name for path in clients.iterdir())
    assert main([*command, "--content", str(folder)]) == FAULTS
    printed = capsys.readouterr()
    assert printed.out == ""
    assert "the limit is called pain_maks here and pain_max everywhere else" in printed.err.split("\n")[0]
    assert sorted(path.name for path in clients.iterdir()) == before


def test_the_other_content_is_what_the_client_reads_and_only_in_that_command(
    folder: Path, clients: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(clients)
    assert main(["preview", "heron", "--text", "--content", str(folder)]) == FINE
    assert "Today: Arm up" in capsys.readouterr().out
    assert main(["preview", "heron", "--text"]) == FINE
    assert f"Today: {TITLE}" in capsys.readouterr().out
    assert main(["check", "heron", "--content", str(folder)]) == FINE


def test_a_folder_that_is_not_there_is_told(clients: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["setup", str(clients / "heron"), "--content", str(clients / "none")]) == FAULTS
    assert "there is no such folder" in capsys.readouterr().err
