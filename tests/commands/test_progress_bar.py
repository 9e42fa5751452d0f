"""The bar: only on a terminal, only after a second, and gone when the work is done."""

import io
import sys
import time

import pytest

from coach.commands.support.progress_bar import counted, progress_bar


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
