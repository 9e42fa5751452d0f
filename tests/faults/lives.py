"""One client's sessions, each of them struck by a fault; and what must be true after every one.

What a session has told is on the disk; what is on the disk can be read; nothing that was there is lost.
"""

import gc
import json
import os
import random
import re
import resource
import select
import shutil
import signal
import traceback
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

from coach.store.client_folder import ClientFolder, read_client_folder
from coach.toml.diagnostic import FileFault
from tests.faults import seam
from tests.faults.driven import as_text, reporter, session
from tests.faults.power import power_cut

Install = Callable[[Path, random.Random], None]

IN_THE_DISK: dict[str, Install] = {
    "killed at a call": seam.dies_at_a_call,
    "power cut": power_cut,
    "disk full": seam.full,
    "file size limit": seam.no_larger,
    "flush fails": seam.flush_fails,
    "read-only": seam.read_only,
    "disk gone": seam.gone,
}
FROM_OUTSIDE = {"kill -9": signal.SIGKILL, "terminated": signal.SIGTERM, "hung up": signal.SIGHUP}
SOUND, NOT_NOW, FAULT_OF_THE_PROGRAM = 0, 3, 70
# A press brings few entries; so much more than was told may be on the disk, and no more.
_MOST_UNTOLD = 4
_WHOLE = re.compile(rb"# whole( [0-9a-f]{64})?\n\Z")
_PATIENCE_S = 30.0


class Lost(Exception):
    """Something that was told is not there, cannot be read, or should never have been let happen."""


@dataclass
class Child:
    """A session in a process of its own, and what it told."""

    number: int
    pipe: int
    told: bytes = b""

    def wait(self, lines: int | None = None) -> None:
        """Read until so many lines were told, or to the end."""
        while lines is None or self.told.count(b"\n") < lines:
            ready, _, _ = select.select([self.pipe], [], [], _PATIENCE_S)
            if not ready:
                os.kill(self.number, signal.SIGKILL)
                raise Lost("the session hangs")
            came = os.read(self.pipe, 1 << 20)
            if not came:
                return
            self.told += came

    def end(self) -> int:
        """Read to the end; the exit code, below zero for a signal."""
        self.wait()
        os.close(self.pipe)
        return os.waitstatus_to_exitcode(os.waitpid(self.number, 0)[1])


def start(folder: Path, at: datetime, seed: int, install: Install | None = None) -> Child:
    """A session in a new process."""
    out, into = os.pipe()
    number = os.fork()
    if number:
        os.close(into)
        return Child(number, out)
    code = FAULT_OF_THE_PROGRAM
    try:
        os.close(out)
        for handle in (1, 2):
            os.dup2(os.open(os.devnull, os.O_WRONLY), handle)
        if install is not None:
            install(folder, random.Random(seed))
        code = session(folder, at, seed, reporter(into))
    except BaseException:
        os.write(into, json.dumps(traceback.format_exc()).encode() + b"\n")
    finally:
        os._exit(code)


@dataclass
class Life:
    """A client, the time, and all that was ever told."""

    folder: Path
    chance: random.Random
    at: datetime
    told: dict[str, list[str]] = field(default_factory=dict)
    in_review: bool = False

    def strike(self, fault: str) -> None:
        """One session under one fault. Lost where it took something with it."""
        self.at += timedelta(seconds=self.chance.choice([20, 300, 90_000, 180_000]))
        seed = self.chance.randrange(1 << 30)
        if fault in IN_THE_DISK:
            self._take(start(self.folder, self.at, seed, IN_THE_DISK[fault]))
            self._after_power_cut()
        elif fault in FROM_OUTSIDE:
            child = start(self.folder, self.at, seed)
            child.wait(self.chance.randrange(40))
            _wait_a_little(self.chance)
            os.kill(child.number, FROM_OUTSIDE[fault])
            self._take(child)
        else:
            {"two at once": self._two, "conflict copy": self._copy, "clock set back": self._back}[fault](seed)
        self.look()

    def look(self) -> None:
        """Everything told is there and can be read; a second look changes nothing."""
        for repair in (False, True, True):
            client = self._read(repair)
        if client.saved_faults:
            raise Lost(f"progress.toml: {client.saved_faults[0].what}")
        kept = {
            one.record.started.isoformat(): [as_text(entry) for entry in one.record.entry]
            for one in client.stored_records
        }
        for started, entries in self.told.items():
            there = kept.get(started)
            if there is None:
                raise Lost(f"the session of {started} is gone, {len(entries)} entries told")
            if there[: len(entries)] != entries:
                raise Lost(f"the session of {started} does not hold what was told")
            if len(there) > len(entries) + _MOST_UNTOLD:
                raise Lost(f"the session of {started} holds what nobody said")
        self.told = kept
        self.at = max([self.at, *(record.last_at for record in client.records)])
        ended = client.records[-1].ended if client.records else None
        self.in_review = ended is not None and ended.decision.status == "review"
        left = list(self.folder.rglob(".*.tmp"))
        wide = [path for path in self.folder.rglob("*") if path.is_file() and path.stat().st_mode & 0o077]
        if left or wide:
            raise Lost(f"left behind: {left}; readable by others: {wide}")

    def _read(self, repair: bool) -> ClientFolder:
        try:
            client = read_client_folder(self.folder, repair)
            assert all(record.format in (1, 2) for record in client.records)  # records are parsed on first use
            return client
        except FileFault as fault:
            raise Lost(f"unreadable: {fault}") from fault

    def _take(self, child: Child) -> int:
        """What a session told, to the end of it; its exit code."""
        code = child.end()
        for line in child.told.splitlines():
            said = json.loads(line)
            if isinstance(said, str):
                raise Lost(said)
            self.told[said[0]] = max(self.told.get(said[0], []), said[1], key=len)
        if code == FAULT_OF_THE_PROGRAM:
            raise Lost("the program said that it was at fault itself")
        return code

    def _after_power_cut(self) -> None:
        after = self.folder.with_name(f"{self.folder.name}.after")
        if after.exists():
            shutil.rmtree(self.folder)
            after.rename(self.folder)
            for path in self.folder.rglob("*"):
                path.chmod(0o700 if path.is_dir() else 0o600)

    def _two(self, seed: int) -> None:
        """While one session stands still in the middle, another is begun on the same client."""
        first = start(self.folder, self.at, seed)
        first.wait(self.chance.randrange(1, 20))
        os.kill(first.number, signal.SIGSTOP)
        ended = os.waitid(os.P_PID, first.number, os.WEXITED | os.WSTOPPED | os.WNOWAIT)
        stands = ended is not None and ended.si_code == os.CLD_STOPPED
        later = self.at + timedelta(hours=2)  # where the first has ended, this is a session of its own
        second = self._take(start(self.folder, later, seed + 1))
        os.kill(first.number, signal.SIGCONT)
        self._take(first)
        if stands and second != NOT_NOW:
            raise Lost("two sessions at once")

    def _copy(self, seed: int) -> None:
        """A program that keeps folders the same leaves an earlier or a later state of a record beside it."""
        records = sorted((self.folder / "records").glob("*.toml"))
        if records:
            newest = self.chance.choice(records[-3:])
            content = newest.read_bytes()
            ends = [at for at in range(len(content)) if _WHOLE.search(content[:at])] or [len(content)]
            earlier = content[: self.chance.choice(ends)]
            beside = newest.with_name(f"{newest.stem} (copy of the other machine).toml")
            newest.rename(beside) if self.chance.random() < 0.5 else beside.write_bytes(earlier)
            if not newest.exists():
                newest.write_bytes(earlier)
            for path in (newest, beside):
                path.chmod(0o600)
        self.look()
        self._take(start(self.folder, self.at, seed))
        for path in (self.folder / "records").glob("* (copy*.toml"):
            original = path.with_name(path.name.partition(" (")[0] + ".toml")
            longer = max((path, original), key=lambda one: one.stat().st_size)
            os.replace(longer, original)  # noqa: PTH105
            path.unlink(missing_ok=True)

    def _back(self, seed: int) -> None:
        """A clock before the last record: nothing is begun, nothing is written."""
        client = self._read(repair=True)
        before = _files(self.folder)
        newest = max((record.last_at for record in client.records), default=None)
        if newest is None:
            return
        code = self._take(start(self.folder, newest - timedelta(seconds=self.chance.choice([1, 3600, 10**7])), seed))
        if code != NOT_NOW or _files(self.folder) != before:
            raise Lost(f"a session was begun before the last one (exit code {code})")


FAULTS = (*FROM_OUTSIDE, *IN_THE_DISK, "two at once", "conflict copy", "clock set back")


def _files(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def _wait_a_little(chance: random.Random) -> None:
    """Less than a line takes, so that the signal falls anywhere."""
    for _ in range(chance.randrange(3000)):
        pass


def ready() -> None:
    """Before the first fork: what is there is there for all, and nobody counts it again."""
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    gc.freeze()
