"""A backup holds everything and comes back to the byte; one that was spoilt or forged writes nothing anywhere."""

import hashlib
import os
import random
import shutil
import stat
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from coach.store.backups.backup import CONTENTS, FORMAT, Member, find, holding
from coach.store.backups.restore import contents, restore
from coach.store.client_paths import clients_in
from coach.toml.diagnostic import FileFault
from tests.demo.pristine import TREE, copy_pristine
from tests.store.packed import gathered, packed

GOOD = (Member("tern/profile.toml", b"format = 1\n"), Member("tern/records/a.toml", b"x" * 1000))


def files(folder: Path) -> dict[str, bytes]:
    """Every file that is not hidden."""
    found = {str(path.relative_to(folder)): path for path in folder.rglob("*") if path.is_file()}
    return {name: path.read_bytes() for name, path in found.items() if not path.name.startswith(".")}


def coach(*arguments: object) -> subprocess.CompletedProcess[str]:
    """The command."""
    command = [sys.executable, "-m", "coach", *map(str, arguments)]
    return subprocess.run(command, cwd=TREE, capture_output=True, text=True, check=False)


def backup_file(path: Path, members: tuple[Member, ...] = GOOD) -> Path:
    """A backup file."""
    path.write_bytes(packed(members))
    return path


def test_all_clients_and_one_client_come_back_to_the_byte(demo_profiles: Path, tmp_path: Path) -> None:
    (demo_profiles / "clinic").mkdir()
    (demo_profiles / "clinic" / "limits.toml").write_text("format = 1\n")
    (demo_profiles / "holiday").mkdir()
    (demo_profiles / "holiday" / "picture.jpg").write_bytes(b"no client's")
    (demo_profiles / "tern" / "progress.kept-2026.toml").write_bytes(b"\xff\x00")
    saved = coach("backup", demo_profiles, "--to", tmp_path / "all.zip")
    assert saved.returncode == 0, saved.stderr
    assert "heron: sessions: 60" in saved.stdout
    assert "health data and is not encrypted" in saved.stdout.partition("Written")[0]
    back = coach("restore", tmp_path / "all.zip", "--to", tmp_path / "back")
    assert back.returncode == 0, back.stderr
    expected = {name: data for name, data in files(demo_profiles).items() if not name.startswith("holiday")}
    assert files(tmp_path / "back") == expected
    assert coach("backup", demo_profiles / "heron", "--to", tmp_path / "one.zip").returncode == 0
    assert coach("restore", tmp_path / "one.zip", "--to", tmp_path / "one").returncode == 0
    assert files(tmp_path / "one" / "heron") == files(demo_profiles / "heron")
    modes = {stat.S_IMODE(path.stat().st_mode) for path in (tmp_path / "back").rglob("*") if path.is_file()}
    folders = {stat.S_IMODE(path.stat().st_mode) for path in tmp_path.glob("back/**/") if path.is_dir()}
    assert (modes, folders) == ({0o600}, {0o700})
    assert stat.S_IMODE((tmp_path / "all.zip").stat().st_mode) == 0o600


def test_other_programs_read_it(demo_profiles: Path, tmp_path: Path) -> None:
    """An open format: unpacked and checked with what stands on any Linux machine."""
    path = backup_file(tmp_path / "tern.zip", gathered(demo_profiles / "plover"))
    subprocess.run([sys.executable, "-m", "zipfile", "-e", str(path), str(tmp_path / "out")], check=True)
    if shutil.which("sha256sum") is not None:
        subprocess.run(["sha256sum", "--check", "--strict", "--quiet", CONTENTS], cwd=tmp_path / "out", check=True)


def test_nothing_is_written_over(demo_profiles: Path, tmp_path: Path) -> None:
    (tmp_path / "there.zip").write_text("mine")
    (tmp_path / "folder").mkdir()
    assert coach("backup", demo_profiles, "--to", tmp_path / "there.zip").returncode == 1
    assert coach("restore", backup_file(tmp_path / "a.zip"), "--to", tmp_path / "folder").returncode == 1
    assert (tmp_path / "there.zip").read_text() == "mine"
    assert list((tmp_path / "folder").iterdir()) == []


@pytest.mark.parametrize(
    ("name", "make", "says"),
    [
        ("notes.txt", lambda path: path.symlink_to("/etc/hostname"), "this is a link, or not an ordinary file"),
        ("notes.txt", os.mkfifo, "this is a link, or not an ordinary file"),
        ("notes: old.txt", Path.touch, "a file of this name cannot be put in a backup"),
        ("notes: old", lambda path: shutil.copytree(TREE / "content", path), "a file of this name cannot be put"),
        (os.fsdecode(b"not\xffes"), Path.touch, "a file of this name cannot be put in a backup"),
        ("Profile.toml", Path.touch, "only by large and small letters"),
        ("big.bin", lambda path: path.write_bytes(bytes(17 * 1024 * 1024)), "the file is larger than 16 MiB"),
        ("a/b/c/d/e/f/g", lambda path: path.mkdir(parents=True), "folders are nested too deeply"),
    ],
)
def test_what_cannot_be_backed_up_is_named_and_all_else_is(
    demo_profiles: Path, tmp_path: Path, name: str, make: Callable[[Path], object], says: str
) -> None:
    """Nothing of it is opened, and nobody else goes without a backup for it."""
    before = files(demo_profiles)
    make(demo_profiles / "tern" / name)
    saved = coach("backup", demo_profiles, "--to", tmp_path / "all.zip")
    assert saved.returncode == 1
    assert "tern/" in saved.stderr
    assert says in saved.stderr
    assert "1 file or folder is not in this backup" in saved.stderr
    assert coach("restore", tmp_path / "all.zip", "--to", tmp_path / "back").returncode == 0
    back = files(tmp_path / "back")
    both = {"tern/Profile.toml", "tern/profile.toml"} if name == "Profile.toml" else set[str]()
    assert {one: data for one, data in back.items() if one not in both} == {
        one: data for one, data in before.items() if one not in both
    }
    assert len(back) == len(before)


def test_a_client_whose_folder_has_an_odd_name_is_named(demo_profiles: Path, tmp_path: Path) -> None:
    (demo_profiles / "tern").rename(demo_profiles / "tern*")
    (demo_profiles / "plover").rename(demo_profiles / "HERON")
    saved = coach("backup", demo_profiles, "--to", tmp_path / "all.zip")
    assert saved.returncode == 1
    assert "tern*" in saved.stderr
    assert "2 files or folders are not in this backup" in saved.stderr
    assert not contents(tmp_path / "all.zip").sessions.keys() & {"tern*", "tern", "heron"}


def test_where_there_is_no_client_nothing_is_backed_up(tmp_path: Path) -> None:
    """Not somebody's whole home, by a slip."""
    (tmp_path / "letters").mkdir()
    with pytest.raises(FileFault, match="there is no client here"):
        list(find(tmp_path))


def test_a_client_whose_profile_is_lost_is_kept_as_well(demo_profiles: Path) -> None:
    """What is left of them is what a backup is for."""
    (demo_profiles / "tern" / "profile.toml").unlink()
    names = [one.name for one in find(demo_profiles)]
    assert "tern/prescription.toml" in names
    assert holding(names).sessions.keys() >= {"tern", "heron"}


def forged(path: Path, name: str, mode: int = 0o100600, data: bytes = b"x", listed: str | None = None) -> Path:
    """A backup with one more file in it, as somebody would forge it."""
    text = listed if listed is not None else f"{FORMAT}{hashlib.sha256(data).hexdigest()}  {name}\n"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(CONTENTS, text)
        entry = zipfile.ZipInfo(name)
        entry.external_attr = mode << 16
        archive.writestr(entry, data)
    return path


NAMES = ("../out.toml", "tern/../../out.toml", "/etc/out.toml", "C:/out.toml", "tern\\..\\..\\out", "tern/.bashrc",
         "tern/a\x1b[2J.toml", "tern/\u202egpj.toml", "out.toml", "tern//a", "tern/a/", "~/a", "tern/con:", "-x/a",
         "a/b/c/d/e/f/g", "tern/" + "n" * 300)  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_a_name_that_leads_elsewhere_is_refused(name: str, tmp_path: Path) -> None:
    path = forged(tmp_path / "a.zip", name)
    with pytest.raises(FileFault) as raised:
        restore(path, tmp_path / "new")
    assert "\x1b" not in str(raised.value)
    assert [one.name for one in tmp_path.iterdir()] == ["a.zip"]


@pytest.mark.parametrize(
    ("mode", "data", "listed", "says"),
    [
        (0o120777, b"/etc/passwd", None, "a link, or not an ordinary file"),
        (0o020600, b"", None, "a link, or not an ordinary file"),
        (0o010600, b"", None, "a link, or not an ordinary file"),
        (0o100600, bytes(17 * 1024 * 1024), None, "larger than 16 MiB"),
        (0o100600, b"x", FORMAT, "not what it lists"),
        (0o100600, b"x", f"{FORMAT}{'0' * 64}  tern/a.toml\n", "not what was backed up"),
        (0o100600, b"x", "# format = 2\n", "newer Steady Arc"),
        (0o100600, b"x", "", "it is damaged"),
    ],
)
def test_what_was_forged_is_refused(mode: int, data: bytes, listed: str | None, says: str, tmp_path: Path) -> None:
    path = forged(tmp_path / "a.zip", "tern/a.toml", mode, data, listed)
    with pytest.raises(FileFault, match=says):
        restore(path, tmp_path / "new")
    assert [one.name for one in tmp_path.iterdir()] == ["a.zip"]


def test_a_size_that_lies_is_not_believed(tmp_path: Path) -> None:
    """Said to be small, and unpacks to 64 MiB."""
    path = forged(tmp_path / "a.zip", "tern/a.toml", data=bytes(64 * 1024 * 1024))
    spoilt = path.read_bytes().replace((64 * 1024 * 1024).to_bytes(4, "little"), (9).to_bytes(4, "little"))
    path.write_bytes(spoilt)
    with pytest.raises(FileFault):
        restore(path, tmp_path / "new")
    assert [one.name for one in tmp_path.iterdir()] == ["a.zip"]


def test_two_names_that_some_systems_take_for_one_are_refused(tmp_path: Path) -> None:
    path = backup_file(tmp_path / "a.zip", (Member("tern/a", b"1"), Member("tern/A", b"2")))
    with pytest.raises(FileFault, match="not what it lists"):
        contents(path)


def test_spoilt_at_any_byte_it_comes_back_whole_or_not_at_all(tmp_path: Path) -> None:
    whole, chance = packed(GOOD), random.Random(3)
    expected = {one.name: one.data for one in GOOD}
    for number in range(600):
        at, path, new = number * len(whole) // 600, tmp_path / "a.zip", tmp_path / "new"
        spoilt = bytearray(whole)
        spoilt[at] ^= chance.randrange(1, 256)
        path.write_bytes(bytes(spoilt) if number % 3 else whole[:at])
        try:
            restore(path, new)
        except FileFault:
            assert [one.name for one in tmp_path.iterdir()] == ["a.zip"]
        else:
            assert files(new) == expected
            shutil.rmtree(new)


def test_what_is_no_file_is_not_opened(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    for path in (tmp_path / "pipe", Path("/dev/zero"), tmp_path):
        with pytest.raises(FileFault, match="not an ordinary file"):
            contents(path)
    with pytest.raises(FileFault, match="no such file"):
        contents(tmp_path / "none.zip")


def test_restored_among_clients_it_is_a_client_of_the_caseload(tmp_path: Path) -> None:
    """A caseload sees the clients of its folder and no deeper."""
    caseload = copy_pristine(tmp_path / "clients")
    one, all_clients = tmp_path / "one.zip", tmp_path / "all.zip"
    one.write_bytes(packed(gathered(caseload / "tern")))
    all_clients.write_bytes(packed(gathered(caseload)))
    before = clients_in(caseload)
    restore(one, caseload / "tern_again")
    assert set(clients_in(caseload)) == {*before, "tern_again"}
    assert files(caseload / "tern_again") == files(caseload / "tern")
    with pytest.raises(FileFault, match="would lie among clients"):
        restore(all_clients, caseload / "restored")
    assert not (caseload / "restored").exists()
    restore(all_clients, tmp_path / "restored")
    assert clients_in(tmp_path / "restored") == before
