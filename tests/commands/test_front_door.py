"""`coach` alone opens what is to be opened, and clients are found by their names."""

import shutil
import signal
import subprocess
import sys
from pathlib import Path
from unittest import mock

import pytest

from coach.cli import main
from coach.content_files.content_folder import content_folder, languages
from coach.store.home.places import clients_at_home, home_folder, name_folder, where_path
from tests.demo.pristine import TREE
from tests.journeys.terminal import Terminal
from tests.screens.therapist.therapist_pages import stop_the_clock

COACH = [sys.executable, "-m", "coach"]


def taken_home(client: Path, profile: str | None = None) -> Path:
    """A client at home."""
    home = home_folder() / client.name / client.name
    shutil.copytree(client, home)
    if profile is not None:
        text = (home / "profile.toml").read_text("utf-8")
        (home / "profile.toml").write_text(text.replace('language = "en"', profile), "utf-8")
    return home


def test_where_nobody_is_it_says_what_to_do_in_every_language(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 2
    said = capsys.readouterr().out
    assert "There is no client on this computer yet." in said
    assert "Auf diesem Computer ist noch niemand." in said
    assert said.count("coach --help") == len(languages(content_folder()))
    assert len(said.splitlines()) < 24


def test_of_several_it_asks_which_and_takes_no_slip_for_an_answer(demo_profiles: Path) -> None:
    for name in ("tern", "heron"):
        taken_home(demo_profiles / name)
    terminal = Terminal(COACH, TREE)
    terminal.shows("Who is training now? 1 heron 2 tern Number, then Enter (q: leave):")
    for slip in ("22", "0", "tern2", "", "-1", "²"):
        terminal.child.send(f"{slip}\n")
    again = "Type a number from 1 to 2, or q. Number, then Enter (q: leave):"
    terminal.shows(f"{again} -1 {again} ² {again}")
    terminal.press("2\n", "Today: Arm at your side")
    terminal.kill(signal.SIGTERM)


@pytest.mark.parametrize(("typed", "code"), [("q", 0), (" Q ", 0), (EOFError(), 4), (KeyboardInterrupt(), 130)])
def test_nobody_has_to_choose(
    typed: str | BaseException, code: int, demo_profiles: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("tern", "heron"):
        taken_home(demo_profiles / name)
    monkeypatch.setattr("coach.screens.terminal.is_terminal", lambda: True)
    monkeypatch.setattr("builtins.input", mock.Mock(side_effect=[typed]))
    assert main([]) == code


def test_without_a_terminal_it_names_them(demo_profiles: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("tern", "heron"):
        taken_home(demo_profiles / name)
    assert main([]) == 2
    said = capsys.readouterr()
    assert said.out == "Who is training now?\n  1  heron\n  2  tern\n"
    assert "coach session NAME. The names: heron, tern." in said.err


def test_one_whose_profile_is_damaged_is_asked_for_by_folder(
    demo_profiles: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in ("tern", "heron"):
        (taken_home(demo_profiles / name) / "profile.toml").write_text("format = ")
    assert main([]) == 2
    assert "  1  heron\n  2  tern\n" in capsys.readouterr().out


def test_a_clinic_gets_its_caseload(
    demo_profiles: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    stop_the_clock(monkeypatch)
    for name in ("heron", "curlew", "avocet"):
        shutil.rmtree(demo_profiles / name)
    assert main(["where", str(demo_profiles)]) == 0
    capsys.readouterr()
    assert main([]) == 0
    alone = capsys.readouterr().out
    assert alone.startswith("demo_profiles: 0 of 2 clients need you, as of 2026-11-25")
    assert main(["caseload", "--plain"]) == 0
    assert capsys.readouterr().out == alone
    shutil.move(demo_profiles, demo_profiles.with_name("elsewhere"))
    assert main([]) == 1
    assert "it is not there" in capsys.readouterr().err


def test_a_folder_that_is_none_is_not_kept(demo_profiles: Path, capsys: pytest.CaptureFixture[str]) -> None:
    unwritable = demo_profiles / "a\u202eb"  # which no file of this program may hold
    unwritable.mkdir()
    wrong = (demo_profiles / "tern", demo_profiles / "none", demo_profiles / "tern" / "profile.toml", unwritable)
    assert [main(["where", str(one)]) for one in wrong] == [1, 1, 1, 1]
    assert "where.toml: nothing was written, because it could not be read again: clients" in capsys.readouterr().err
    assert main(["caseload"]) == 2
    assert "coach where FOLDER" in capsys.readouterr().err
    assert not where_path().exists()


def test_where_says_what_there_is(demo_profiles: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["where"]) == 0
    assert "none yet" in capsys.readouterr().out
    taken_home(demo_profiles / "tern")
    name_folder(demo_profiles)
    assert main(["where"]) == 0
    said = capsys.readouterr().out
    assert f"{demo_profiles} (kept in {where_path()};" in said
    assert f"{home_folder()}: tern." in said


@pytest.mark.parametrize("command", ["bands"])
def test_a_name_stands_for_the_folder(
    command: str,
    demo_profiles: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """At home and in a clinic; a folder of that name here goes before, and a path is a path."""
    monkeypatch.chdir(tmp_path)
    assert main([command, str(demo_profiles / "plover")]) == 0
    expected = capsys.readouterr().out.replace(str(demo_profiles), "")
    name_folder(demo_profiles)
    assert main([command, "plover"]) == 0
    assert capsys.readouterr().out.replace(str(demo_profiles), "") == expected
    where_path().unlink()
    home = taken_home(demo_profiles / "plover")
    assert main([command, "plover"]) == 0
    assert capsys.readouterr().out.replace(str(home.parent), "") == expected
    (home / "profile.toml").write_text("format = ")
    (tmp_path / "plover").symlink_to(demo_profiles / "plover")
    assert main([command, "plover"]) == 0
    assert main([command, "./plover"]) == 0


def test_a_misspelt_name_is_told_with_the_nearest(
    demo_profiles: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    name_folder(demo_profiles)
    taken_home(demo_profiles / "curlew")
    for typed, near in (("plovr", "plover"), ("curlw", "curlew")):
        assert main(["history", typed]) == 1
        assert f"nearest: {near}" in capsys.readouterr().err
    for odd in ("..", ".", ""):
        assert main(["history", odd]) == 1


def test_what_is_kept_and_cannot_be_read_is_told_and_no_path_needs_it(
    demo_profiles: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    name_folder(demo_profiles)
    where_path().write_text("format = 1\nclients = 3\n")
    assert main([]) == 1
    assert "where.toml:2:11" in capsys.readouterr().err
    with pytest.raises(SystemExit):
        main(["history", "plover"])
    assert "where.toml:2:11" in capsys.readouterr().err
    assert main(["history", str(demo_profiles / "plover")]) == 0


def test_a_name_that_leads_out_is_no_name(demo_profiles: Path) -> None:
    """Folders at home that are links, hidden or no clients are passed over."""
    taken_home(demo_profiles / "tern")
    (home_folder() / ".hidden").symlink_to(demo_profiles)
    (home_folder() / "letters").mkdir()
    (home_folder() / "file").write_text("x")
    assert list(clients_at_home()) == ["tern"]


def test_the_session_from_the_front_door_imports_no_more_than_a_session(demo_profiles: Path) -> None:
    """Neither keys nor the caseload, and nothing of the therapist's libraries."""
    home = taken_home(demo_profiles / "tern")
    code = """
import sys
import coach.cli
from coach.commands.home.front_door import what_to_open
print(what_to_open())
print([one for one in ("nacl", "numpy", "tomlkit", "coach.exchange", "sqlite3", "fpdf") if one in sys.modules])
"""
    done = subprocess.run([sys.executable, "-c", code], cwd=TREE, capture_output=True, text=True, check=True)
    first, second = done.stdout.splitlines()
    assert first == str(["session", str(home)])
    assert second == "[]"
