"""A backup holds everything and comes back to the byte; one that was spoilt or forged writes nothing anywhere."""

import hashlib
import io
import os
import random
import shutil
import stat
import subprocess
import sys
import tracemalloc
import zipfile
import zlib
from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from coach.cli import main
from coach.store.backups import backup, zip_reader, zip_writer
from coach.store.backups.backup import CONTENTS, FORMAT, Member, find, holding, pack
from coach.store.backups.restore import contents, restore
from coach.store.backups.zip_format import STORED, Entry
from coach.store.backups.zip_reader import read_data
from coach.store.backups.zip_writer import ZipWriter
from coach.store.client_paths import clients_in
from coach.toml.diagnostic import FileFault
from coach.toml.new_file import new_file
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
    demo_profiles: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    name: str,
    make: Callable[[Path], object],
    says: str,
) -> None:
    """Nothing of it is opened, and nobody else goes without a backup for it."""
    before = files(demo_profiles)
    make(demo_profiles / "tern" / name)
    assert main(["backup", str(demo_profiles), "--to", str(tmp_path / "all.zip")]) == 1
    said = capsys.readouterr().err
    assert "tern/" in said
    assert says in said
    assert "1 file or folder is not in this backup" in said
    restore(tmp_path / "all.zip", tmp_path / "back")
    back = files(tmp_path / "back")
    both = {"tern/Profile.toml", "tern/profile.toml"} if name == "Profile.toml" else set[str]()
    assert {one: data for one, data in back.items() if one not in both} == {
        one: data for one, data in before.items() if one not in both
    }
    assert len(back) == len(before)


def test_a_client_whose_folder_has_an_odd_name_is_named(
    demo_profiles: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (demo_profiles / "tern").rename(demo_profiles / "tern*")
    (demo_profiles / "plover").rename(demo_profiles / "HERON")
    assert main(["backup", str(demo_profiles), "--to", str(tmp_path / "all.zip")]) == 1
    said = capsys.readouterr().err
    assert "tern*" in said
    assert "2 files or folders are not in this backup" in said
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
        (0o100600, b"x", "# format = 3\n", "newer Steady Arc"),
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


def test_what_unpacks_to_far_more_than_it_holds_is_refused(tmp_path: Path) -> None:
    """A few files of some kilobytes that are 8 MiB each: every one is allowed, and their sum is not."""
    path = tmp_path / "a.zip"
    data = bytes(8 * 1024 * 1024)
    digest = hashlib.sha256(data).hexdigest()
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(CONTENTS, FORMAT + "".join(f"{digest}  tern/{number}.toml\n" for number in range(8)))
        for number in range(8):
            archive.writestr(f"tern/{number}.toml", data)
    assert path.stat().st_size < 100_000
    with pytest.raises(FileFault, match="unpack to more than 100 times its size"):
        restore(path, tmp_path / "new")
    assert [one.name for one in tmp_path.iterdir()] == ["a.zip"]


def test_one_file_that_is_named_many_times_is_refused(tmp_path: Path) -> None:
    """The directory may name the same bytes again and again, under their name or another."""
    whole = packed((Member("tern/a", os.urandom(5000)),))
    for again in ("tern/a", "tern/b"):
        path, name = tmp_path / "a.zip", again.encode()
        start = int.from_bytes(whole[-6:-2], "little")
        first = whole.index(b"PK\x01\x02", start + 4)
        entry = whole[first : first + 46] + name
        directory = whole[start:first] + entry * 50
        end = b"PK\x05\x06" + bytes(4) + (51).to_bytes(2, "little") * 2
        sizes = len(directory).to_bytes(4, "little") + start.to_bytes(4, "little")
        path.write_bytes(whole[:start] + directory + end + sizes + bytes(2))
        with pytest.raises(FileFault, match=r"damaged|not what it lists"):
            restore(path, tmp_path / "new")


def test_files_that_lie_in_each_other_are_refused(tmp_path: Path) -> None:
    """Each has its heading and its hash, and the second lies within the first, so that a little would be a lot."""
    inner, names = os.urandom(50_000), ("tern/a", "tern/b")
    headed = zip_writer._local(Entry(names[1], STORED, zlib.crc32(inner), len(inner), len(inner), 0, 0)) + inner
    datas, out = (headed, inner), io.BytesIO()
    listed = FORMAT + "".join(
        f"{hashlib.sha256(data).hexdigest()}  {name}\n" for name, data in zip(names, datas, strict=True)
    )
    with ZipWriter(out) as archive:
        archive.add(names[0], headed)
        offset = out.tell() - len(headed)
        archive._directory.write(
            zip_writer._central(Entry(names[1], STORED, zlib.crc32(inner), len(inner), len(inner), offset, 0))
        )
        archive._count += 1
        archive.finish(CONTENTS, io.BytesIO(listed.encode()))
    (tmp_path / "a.zip").write_bytes(out.getvalue())
    with zipfile.ZipFile(tmp_path / "a.zip") as archive_of_library:
        assert archive_of_library.namelist() == [CONTENTS, *names]
    with pytest.raises(FileFault, match="it is damaged"):
        restore(tmp_path / "a.zip", tmp_path / "new")


def test_where_there_is_no_room_nothing_is_begun(
    demo_profiles: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = backup_file(tmp_path / "a.zip", gathered(demo_profiles))
    (tmp_path / "to").mkdir()
    monkeypatch.setattr("shutil.disk_usage", lambda _: SimpleNamespace(free=10_000))
    with pytest.raises(FileFault, match="there is no room here"):
        restore(path, tmp_path / "to" / "new")
    assert list((tmp_path / "to").iterdir()) == []


def test_what_hardly_holds_anything_comes_back_too(tmp_path: Path) -> None:
    """Such files are stored as they are, so that no restore takes them for what unpacks without end."""
    members = (Member("tern/a", bytes(1024 * 1024)), Member("tern/b", b""), Member("tern/c", b"x" * 300))
    path = backup_file(tmp_path / "a.zip", members)
    restore(path, tmp_path / "new")
    assert files(tmp_path / "new") == {one.name: one.data for one in members}


def former_backup(members: Iterable[Member]) -> bytes:
    """A backup as earlier versions wrote it: by the standard library, the list first."""
    every, out = tuple(members), io.BytesIO()
    listed = "".join(f"{hashlib.sha256(one.data).hexdigest()}  {one.name}\n" for one in every)
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for one in (Member(CONTENTS, f"{FORMAT}{listed}".encode()), *every):
            entry = zipfile.ZipInfo(one.name, (1980, 1, 1, 0, 0, 0))
            entry.external_attr = (stat.S_IFREG | 0o600) << 16
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, one.data)
    return out.getvalue()


def test_backups_of_earlier_versions_come_back(demo_profiles: Path, tmp_path: Path) -> None:
    (tmp_path / "a.zip").write_bytes(former_backup(gathered(demo_profiles)))
    restore(tmp_path / "a.zip", tmp_path / "new")
    assert files(tmp_path / "new") == {one.name: one.data for one in gathered(demo_profiles)}


@pytest.mark.timeout(600)
@pytest.mark.parametrize("number", [70_000, 1_000_001])
def test_as_many_files_as_need_larger_numbers(tmp_path: Path, number: int) -> None:
    """More than 65,535 files are counted in another place (APPNOTE 4.4.21); the standard library agrees."""
    path = tmp_path / "a.zip"
    path.write_bytes(packed(Member(f"client_{one // 14}/{one}.toml", b"a") for one in range(number)))
    found = contents(path)
    assert (found.files, len(found.sessions)) == (number, (number + 13) // 14)
    with zipfile.ZipFile(path) as archive:
        assert len(archive.namelist()) == number + 1
        assert archive.namelist()[0] == CONTENTS


def test_beyond_four_gigabytes(tmp_path: Path) -> None:
    """After a hole of five, which takes no room on the disk: places are told in another field (APPNOTE 4.5.3)."""
    path, members = tmp_path / "a.zip", (*GOOD, Member("heron/profile.toml", os.urandom(3000)))
    with path.open("w+b") as file:
        file.seek(5 * 1024**3)
        pack(members, file, tmp_path)
    restore(path, tmp_path / "new")
    assert files(tmp_path / "new") == {one.name: one.data for one in members}
    with zipfile.ZipFile(path) as archive:
        assert [archive.read(one.name) for one in members] == [one.data for one in members]


def _peak_of(call: Callable[[], object]) -> int:
    """The most bytes that Python held while it ran."""
    tracemalloc.start()
    try:
        call()
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


def test_memory_does_not_grow_with_the_number_of_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Five times as many files of one client, written and read."""
    monkeypatch.setattr(zip_writer, "_IN_MEMORY", 10_000)
    monkeypatch.setattr(zip_writer, "_CHUNK", 10_000)
    monkeypatch.setattr(zip_reader, "_CHUNK", 1_000)
    data, paths = os.urandom(2000), (tmp_path / "few.zip", tmp_path / "many.zip")

    def written(path: Path, clients: int) -> None:
        with path.open("w+b") as file:
            pack((Member(f"{one // 10}/{one % 10}.toml", data) for one in range(clients * 10)), file, tmp_path)

    few, many = (_peak_of(partial(written, *one)) for one in zip(paths, (60, 300), strict=True))
    assert many < few * 1.1
    few, many = (_peak_of(partial(contents, path)) for path in paths)
    assert many - few < 240 * 500  # of each client the name and a number; of each file nothing


def _lines_run(call: Callable[[], object]) -> int:
    """How many lines of Python it went through."""
    count = 0

    def counted(*_: object) -> Any:
        nonlocal count
        count += 1
        return counted

    before = sys.gettrace()
    sys.settrace(counted)
    try:
        call()
    finally:
        sys.settrace(before)
    return count


def test_work_grows_as_the_number_of_clients() -> None:
    """Four times as many clients are four times the work, and not sixteen."""

    def told(clients: int) -> None:
        holding(f"client_{number // 5}/records/{number}.toml" for number in range(5 * clients))

    few, many = (_lines_run(partial(told, clients)) for clients in (50, 200))
    assert many < 4.2 * few


def test_ctrl_c_leaves_nothing(demo_profiles: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In the middle of a backup, and of a restore: the exit code of a program that was interrupted, and no file."""
    backup_file(tmp_path / "good.zip", gathered(demo_profiles))
    (tmp_path / "to").mkdir()
    interrupted: list[str] = []

    def at_the_third(*given: object) -> bytes:
        interrupted.append(str(given[0]))
        if len(interrupted) == 3:
            raise KeyboardInterrupt
        return b"format = 1\n"

    monkeypatch.setattr(backup, "_data", at_the_third)
    assert main(["backup", str(demo_profiles), "--to", str(tmp_path / "to" / "a.zip")]) == 130
    interrupted.clear()
    monkeypatch.setattr(
        "coach.store.backups.restore.read_data", lambda *given: at_the_third(*given) and read_data(*given)
    )
    assert main(["restore", str(tmp_path / "good.zip"), "--to", str(tmp_path / "to" / "new")]) == 130
    assert len(interrupted) == 3
    assert list((tmp_path / "to").iterdir()) == []


def test_a_name_taken_while_a_backup_is_written_is_not_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "a.zip"
    with pytest.raises(FileFault, match="exists already"), new_file(path):
        path.write_text("another's")
    assert path.read_text() == "another's"
    assert [one.name for one in tmp_path.iterdir()] == ["a.zip"]


def test_on_a_file_system_without_links(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As on many memory sticks."""
    monkeypatch.setattr("os.link", lambda *_: (_ for _ in ()).throw(PermissionError(1, "not permitted")))
    with new_file(tmp_path / "a.zip") as file:
        file.write(b"mine")
    with pytest.raises(FileFault, match="exists already"), new_file(tmp_path / "b.zip") as file:
        (tmp_path / "b.zip").write_text("another's")
    assert {one.name: one.read_text() for one in tmp_path.iterdir()} == {"a.zip": "mine", "b.zip": "another's"}


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
