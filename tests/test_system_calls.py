"""Each call that differs by system, on the system that this one is taken for."""

import asyncio
import multiprocessing
import os
import signal
import stat
import sys
import time
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import pytest
from filelock import BaseFileLock

from coach import system
from coach.model.profile import SoundSettings
from coach.screens.sound.players import find_sound_output
from coach.store import client_pool, lock
from coach.store.backups import backup
from coach.toml import new_file
from coach.toml.diagnostic import FileFault

SYSTEMS = ("linux", "darwin", "win32")


@pytest.fixture(params=SYSTEMS)
def on(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """The system that the program takes this one for."""
    name = str(request.param)
    monkeypatch.setattr(sys, "platform", name)
    monkeypatch.setattr(system, "IS_WINDOWS", name == "win32")
    return name


def test_the_steady_clock_counts_sleep_where_a_clock_of_the_system_does(
    on: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    clocks = {time.CLOCK_BOOTTIME: 3.0, time.CLOCK_MONOTONIC: 2.0}
    monkeypatch.setattr(time, "clock_gettime", clocks.__getitem__)
    monkeypatch.setattr(time, "monotonic", lambda: 1.0)
    assert system.steady_s() == {"linux": 3.0, "darwin": 2.0, "win32": 1.0}[on]


def test_a_folder_is_flushed_but_not_on_windows(on: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Which opens no folder as a file."""
    flushed = list[str]()
    monkeypatch.setattr(os, "fsync", lambda handle: flushed.append(os.readlink(f"/proc/self/fd/{handle}")))  # noqa: PTH115
    system.flush_folder(tmp_path)
    assert flushed == ([] if on == "win32" else [str(tmp_path)])


def test_a_new_folder_is_flushed_at_once_or_file_by_file(
    on: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    flushed = list[str]()

    def a_file(handle: int, _: bytes) -> None:
        flushed.append("a file")
        os.close(handle)

    monkeypatch.setattr(os, "sync", lambda: flushed.append("everything"))
    monkeypatch.setattr(new_file, "write_flushed", a_file)
    with new_file.new_folder(tmp_path / "new") as write:
        write("a.toml", b"1")
        write("b/c.toml", b"2")
    assert flushed == (["everything"] if on == "linux" else ["a file"] * 2)


def test_owners_and_readers_are_asked_for_where_the_system_keeps_them_in_a_file(on: str) -> None:
    def file(owner: int, mode: int = 0o600) -> os.stat_result:
        return cast("os.stat_result", SimpleNamespace(st_uid=owner, st_mode=stat.S_IFREG | mode))

    own, root, other = os.getuid(), 0, os.getuid() + 1
    windows = on == "win32"
    assert system.is_own(file(own))
    assert system.is_own(file(other)) == windows
    assert system.is_own(file(root), root_too=True)
    assert system.is_readable_by_others(file(own, 0o640)) != windows
    assert not system.is_readable_by_others(file(own))


def test_a_process_is_named_with_its_system_but_not_on_windows(on: str) -> None:
    named = system.this_process()
    assert not system.is_gone(named)
    if on == "win32":
        assert named == ""
        return
    number, _, where = named.partition(" ")
    assert int(number) == os.getpid()
    assert ("/" in where or "[" in where) == (on == "linux")  # with the namespace of process numbers
    if (child := os.fork()) == 0:
        os._exit(0)
    os.waitpid(child, 0)
    assert system.is_gone(f"{child} {where}")
    assert not system.is_gone(f"{child} {where} elsewhere")
    assert not system.is_gone("9" * 40 + f" {where}")


def test_a_link_is_not_followed(demo_profiles: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In the place of a lock, which is written into; and where a file was when it was looked at."""
    mine, link = tmp_path / "mine", demo_profiles / "tern" / ".lock"
    mine.write_text("mine")
    link.symlink_to(mine)
    with pytest.raises(FileFault):
        lock.lock(demo_profiles / "tern")
    assert mine.read_text() == "mine"
    monkeypatch.setattr(Path, "lstat", Path.stat)
    with pytest.raises(FileFault):
        backup.read_member(backup.FoundFile("tern/a", link))


@pytest.mark.parametrize("windows", [False, True])
def test_a_folder_is_locked_by_the_library_on_windows_alone(
    windows: bool, demo_profiles: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lock, "IS_WINDOWS", windows)
    by_library, real, client = list[Path](), lock._by_library, demo_profiles / "tern"

    def noted(file: Path, name: str) -> BaseFileLock:
        by_library.append(file)
        return real(file, name)

    monkeypatch.setattr(lock, "_by_library", noted)
    held = lock.lock(client)
    with pytest.raises(lock.InUse, match=r"close that one first$"):
        lock.lock(client)
    held.release()
    lock.lock(client).release()
    assert set(by_library) == ({client / ".lock"} if windows else set())


def test_clients_are_read_in_processes_where_the_system_can_fork(
    on: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ways = ["spawn"] if on == "win32" else ["spawn", "fork"]
    monkeypatch.setattr(multiprocessing, "get_all_start_methods", lambda: ways)
    monkeypatch.setattr(client_pool, "_LEAST_FOR_PROCESSES", 2)
    monkeypatch.setattr("os.cpu_count", lambda: 2)
    monkeypatch.setattr("threading.active_count", lambda: 1)
    numbers = set(client_pool.for_clients(tmp_path, ["a", "b", "c"], _number_of_process))
    assert (os.getpid() in numbers) == (on == "win32")


def _number_of_process(_: Path) -> int:
    return os.getpid()


def test_signals_are_handled_where_the_event_loop_takes_them(on: str, monkeypatch: pytest.MonkeyPatch) -> None:
    handled = list[object]()
    loop = SimpleNamespace(add_signal_handler=lambda *given: handled.append(given))
    monkeypatch.setattr(asyncio, "get_running_loop", lambda: loop)
    monkeypatch.setattr(signal, "signal", lambda *given: handled.append(given))
    leave = handled.append
    system.exit_on_signals(leave)
    expected = [(signal.SIGTERM, leave, 128 + signal.SIGTERM), (signal.SIGHUP, signal.SIG_DFL)]
    assert handled == ([] if on == "win32" else expected)


def test_a_player_of_the_system_is_looked_for(on: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("coach.screens.sound.players.IS_WINDOWS", on == "win32")
    found = find_sound_output(SoundSettings(tones=True), {}, lambda name: name)
    assert found.player is not None
    assert (found.player.name == sys.executable) == (on == "win32")
