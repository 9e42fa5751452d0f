"""A client of a programme whose files are replaced, flipped or taken away from outside: named, and nothing hangs."""

import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from coach.cli import main
from coach.store.client_folder import read_client_folder
from coach.store.programme.prescribed import instruction_files
from coach.store.programme.visits import visit_files
from coach.toml.diagnostic import Diagnostic, FileFault
from tests.store.programme.test_visits import RANGE, sign

FOLDERS = ("programme", "instructions", "visits", "records", "measured")
FILES = (
    "profile.toml",
    "programme/0001.toml",
    "instructions/1.toml",
    "visits/1.toml",
    "records/2026-11-11T180100.toml",
    "measured/1.toml",
)


def _pipe(path: Path) -> None:
    os.mkfifo(path)


def _circle(path: Path) -> None:
    path.symlink_to(path)


def _endless(path: Path) -> None:
    path.symlink_to("/dev/zero")


SIGNED = ("--exercise", "outward_left", "--initials", "KB", "--reason", "seen today", "--yes")


@pytest.fixture(scope="module")
def signed(_pristine_profiles: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A client of four exercises, with an instruction and a visit."""
    client = shutil.copytree(_pristine_profiles / "curlew", tmp_path_factory.mktemp("signed") / "curlew")
    assert main(["steer", str(client), "freeze_load", *SIGNED]) == 0
    sign(client, RANGE.format(side="right", active=55))
    return Path(client)


@pytest.fixture
def client(signed: Path, tmp_path: Path) -> Path:
    """A copy of that client."""
    return Path(shutil.copytree(signed, tmp_path / "curlew"))


@pytest.mark.parametrize("make", [_pipe, _circle, _endless, Path.touch])
@pytest.mark.parametrize("name", FOLDERS)
def test_what_stands_in_the_place_of_a_folder_is_no_empty_folder(
    client: Path, name: str, make: Callable[[Path], None], capsys: pytest.CaptureFixture[str]
) -> None:
    """Instructions that cannot be read are not taken for none."""
    shutil.rmtree(client / name, ignore_errors=True)
    make(client / name)
    assert main(["check", str(client)]) == 1
    assert f"{client / name}: nothing in this folder can be read" in capsys.readouterr().out
    if name != "measured":  # which decides nothing
        with pytest.raises(FileFault, match="nothing in this folder can be read"):
            read_client_folder(client)


@pytest.mark.parametrize("name", FOLDERS[:4])
def test_a_folder_that_nobody_may_open_is_no_empty_folder(
    client: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.scandir

    def refused(path: Path) -> object:
        if Path(path) == client / name:
            raise PermissionError(13, os.strerror(13))
        return real(path)

    monkeypatch.setattr("os.scandir", refused)
    with pytest.raises(FileFault, match="permission denied"):
        read_client_folder(client)


@pytest.mark.parametrize("make", [_pipe, _circle, _endless, Path.mkdir])
@pytest.mark.parametrize("name", FILES)
def test_what_stands_in_the_place_of_a_file_is_named_and_not_opened(
    client: Path, name: str, make: Callable[[Path], None], capsys: pytest.CaptureFixture[str]
) -> None:
    (client / name).parent.mkdir(exist_ok=True)
    (client / name).unlink(missing_ok=True)
    make(client / name)
    assert main(["check", str(client)]) == 1
    assert f"{client / name}: " in capsys.readouterr().out


@pytest.mark.parametrize("folder", ["instructions", "visits"])
def test_a_flipped_bit_of_what_was_signed_is_seen_or_does_no_harm(client: Path, folder: str) -> None:
    """A bit in the letters of a limit, a date or a computer's name says something else and can still be read."""
    (file,) = (client / folder).iterdir()
    content, before, seen = file.read_bytes(), _signed(client), 0
    assert isinstance(before, tuple)
    for at in range(0, len(content), 3):
        file.write_bytes(content[:at] + bytes([content[at] ^ 1 << at % 8]) + content[at + 1 :])
        found = _signed(client)
        assert found in (before, file)
        seen += found == file
    assert seen > 0
    file.write_bytes(content)
    assert _signed(client) == before


@pytest.mark.parametrize("folder", ["instructions", "visits"])
def test_a_signed_file_that_was_cut_off_is_no_shorter_file(client: Path, folder: str) -> None:
    """At the end of any line, also of the one above the mark: what was signed is not the rest of it."""
    (file,) = (client / folder).iterdir()
    lines = file.read_bytes().splitlines(keepends=True)
    for left in range(len(lines)):
        for end in (b"", b"\n"):
            file.write_bytes(b"".join(lines[:left]).rstrip() + end)
            assert _signed(client) == file


def test_what_was_signed_is_in_the_table_once(client: Path, tmp_path: Path) -> None:
    assert main(["export", str(client), "--csv", "--to", str(tmp_path / "curlew.csv")]) == 0
    assert (tmp_path / "curlew.csv").read_text("utf-8-sig").count("seen today") == 1


def _signed(client: Path) -> tuple[object, ...] | Path:
    """What was signed, or the file with the first fault."""
    faults = list[Diagnostic]()
    found = (*instruction_files(client, faults).values(), *visit_files(client, faults).values())
    return faults[0].path if faults else found


def test_a_signed_file_with_other_line_ends_and_one_edited_by_hand_are_read(client: Path) -> None:
    """As a version control or an editor leaves them; the edited one without its mark, as the message says.

    One of an earlier version has no first line that announces the mark.
    """
    (file,) = (client / "instructions").iterdir()
    before = _signed(client)
    file.write_bytes(file.read_bytes().replace(b"\n", b"\r\n"))
    assert _signed(client) == before
    lines = file.read_bytes().replace(b"seen today", b"seen on Monday").splitlines(keepends=True)
    file.write_bytes(b"".join(lines))
    for damaged, fix in ((lines, "its first line and its last line"), (lines[1:], "take out its last line")):
        file.write_bytes(b"".join(damaged))
        with pytest.raises(FileFault, match=fix):
            read_client_folder(client)
    file.write_bytes(b"".join(lines[1:-1]))
    assert read_client_folder(client).signed[0].reason == "seen on Monday"
