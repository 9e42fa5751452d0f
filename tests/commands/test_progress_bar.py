"""The bar: only on a terminal, only after a second, and gone when the work is done; and Ctrl-C meanwhile."""

import io
import shutil
import signal
import sys
import time
from collections.abc import Iterator
from itertools import count
from pathlib import Path
from types import SimpleNamespace

import pytest

from coach.cli import main
from coach.commands.support.loading import therapist_content
from coach.commands.support.progress_bar import counted, progress_bar, uninterrupted_removal
from coach.store.backups import restore
from coach.store.backups.backup import Member, find, holding
from tests.demo.pristine import DEMO


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.fixture
def clock_s(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """Seconds that the test sets."""
    seconds = [100.0]
    monkeypatch.setattr(time, "monotonic", lambda: seconds[0])
    return seconds


def _shown(monkeypatch: pytest.MonkeyPatch, clock_s: list[float], stream: io.StringIO, step_s: float) -> str:
    monkeypatch.setattr(sys, "stderr", stream)
    with progress_bar("Files: {done} of {total}") as show:
        for _ in counted(range(4), 4, show):
            clock_s[0] += step_s
    return stream.getvalue()


def test_what_is_done_within_a_second_has_none(monkeypatch: pytest.MonkeyPatch, clock_s: list[float]) -> None:
    assert _shown(monkeypatch, clock_s, _Terminal(), 0.2) == ""


def test_what_takes_longer_says_how_far_it_is_and_takes_it_away(
    monkeypatch: pytest.MonkeyPatch, clock_s: list[float]
) -> None:
    said = _shown(monkeypatch, clock_s, _Terminal(), 0.6)
    assert "Files: 1 of 4" not in said
    assert "Files: 2 of 4" in said
    assert "Files: 4 of 4" in said
    assert said.endswith("\x1b[2K")


def test_it_is_not_drawn_for_each_of_a_million(monkeypatch: pytest.MonkeyPatch, clock_s: list[float]) -> None:
    stream = _Terminal()
    monkeypatch.setattr(sys, "stderr", stream)
    with progress_bar("Files: {done} of {total}") as show:
        clock_s[0] += 2
        for done in range(1, 1000):
            show(done, 1000)
    assert "Files: 1 of 1000" in stream.getvalue()
    assert "Files: 2 of 1000" not in stream.getvalue()


def test_without_a_terminal_there_is_none(monkeypatch: pytest.MonkeyPatch, clock_s: list[float]) -> None:
    assert _shown(monkeypatch, clock_s, io.StringIO(), 5.0) == ""


@pytest.mark.parametrize(
    ("command", "work"),
    [
        (["caseload", "{clients}", "--plain"], "reading"),
        (["check", "{clients}"], "checking"),
        (["audit", "{clients}"], "auditing"),
        (["backup", "{clients}", "--to", "{out}/all.zip"], "backing_up"),
        (["restore", "{packed}", "--to", "{out}/restored"], "restoring"),
        (["export", "{clients}", "--all", "--csv", "--to", "{out}/all.csv"], "exporting"),
    ],
    ids=lambda one: one[0] if isinstance(one, list) else one,
)
def test_each_command_that_reads_all_clients_shows_it(
    command: list[str], work: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every look at the clock is three seconds later."""
    packed, at_s = tmp_path / "packed.zip", count(100, 3)
    assert main(["backup", str(DEMO), "--to", str(packed)]) == 0
    places = {"clients": DEMO, "out": tmp_path, "packed": packed}
    stream = _Terminal()
    monkeypatch.setattr(sys, "stderr", stream)
    monkeypatch.setattr("coach.commands.support.progress_bar.time", SimpleNamespace(monotonic=at_s.__next__))
    assert main([one.format(**places) for one in command]) == 0
    words, _, _ = getattr(therapist_content().messages.therapist.working, work).partition(":")
    assert f"{words}:" in stream.getvalue()


def test_what_is_found_is_told_client_by_client() -> None:
    told = list[tuple[int, int]]()
    holds = holding(one.name for one in find(DEMO, lambda done, of: told.append((done, of))))
    clients = len(holds.sessions)
    assert told[:clients] == [(number, len(told)) for number in range(1, clients + 1)]


def test_ctrl_c_says_that_something_is_taken_away(monkeypatch: pytest.MonkeyPatch) -> None:
    stream = _Terminal()
    monkeypatch.setattr(sys, "stderr", stream)
    with pytest.raises(KeyboardInterrupt), uninterrupted_removal("It is taken away."):
        signal.raise_signal(signal.SIGINT)
    assert stream.getvalue() == "\nIt is taken away.\n"
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


def test_another_ctrl_c_does_not_leave_half_of_a_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Once while files are taken back, and again while those are taken away."""
    packed, removed, files = tmp_path / "tern.zip", shutil.rmtree, restore.packed_members
    assert main(["backup", str(DEMO / "tern"), "--to", str(packed)]) == 0

    def interrupted(path: Path, opened: restore.Opener | None = None) -> Iterator[Member]:
        for one in files(path, opened):
            yield one
            signal.raise_signal(signal.SIGINT)

    def interrupted_again(path: Path, ignore_errors: bool = False) -> None:
        signal.raise_signal(signal.SIGINT)
        removed(path, ignore_errors=ignore_errors)

    monkeypatch.setattr(restore, "packed_members", interrupted)
    monkeypatch.setattr(shutil, "rmtree", interrupted_again)
    assert main(["restore", str(packed), "--to", str(tmp_path / "new")]) == 128 + signal.SIGINT
    assert list(tmp_path.iterdir()) == [packed]
