"""Lines typed at a keyboard that come too soon, twice, or from a key that is held."""

import shutil
from datetime import timedelta
from pathlib import Path

import pytest

from coach.commands.support.loading import client_store
from coach.screens.client.key_guard import HELD_AFTER_S, REPEAT_S, SETTLE_S, KeyGuard
from coach.screens.plain.line_input import EndOfInput
from coach.screens.plain.plain_session import PlainSession
from coach.session.state import Instant
from coach.store.client_store import ClientStore
from coach.store.live_session import open_session
from tests.clocks import START


class AtTimes:
    """Lines that come at given seconds after the start, and the clock that passes while they are waited for."""

    def __init__(self, *lines: tuple[float, str]) -> None:
        self._lines = list(lines)
        self.s = 0.0

    def clock(self) -> Instant:
        """The time as it has come to be."""
        return Instant(self.s, START + timedelta(seconds=self.s))

    def line(self, within_s: float | None) -> str | None:
        """The next line, or None when so many seconds are over before it comes."""
        if not self._lines:
            raise EndOfInput
        if within_s is not None and self._lines[0][0] > self.s + within_s:
            self.s += within_s
            return None
        at_s, line = self._lines.pop(0)
        self.s = max(self.s, at_s)
        return line


def told_of(client: Path, *lines: tuple[float, str]) -> list[str]:
    """What a session wrote to whom these lines were typed."""
    store: ClientStore = client_store(client)
    source, written = AtTimes(*lines), list[str]()
    opening = open_session(store, source.clock())
    guard = KeyGuard(lambda: source.s)
    PlainSession(store.content, opening, source.clock, source, written.append, guard=guard).run()
    return written


APART_S = 1.2
"""Between two presses of somebody who presses again because nothing came of the first."""


@pytest.fixture
def clients(demo_profiles: Path) -> tuple[Path, Path]:
    """The same client twice, neither with a session that was begun."""
    return demo_profiles / "tern", Path(shutil.copytree(demo_profiles / "tern", demo_profiles / "tern_again"))


@pytest.mark.parametrize("key", ["q", ""])
def test_a_line_typed_again_after_a_second_is_taken(clients: tuple[Path, Path], key: str) -> None:
    """However often it was too soon before: who presses again each second is not refused for ever."""
    assert SETTLE_S < APART_S < HELD_AFTER_S
    too_soon = client_store(clients[0]).content.messages.client.keys.too_soon
    waited = told_of(clients[0], (60.0, "?"))
    twice = told_of(clients[1], (0.1, key), (0.1 + APART_S, key), (60.0, "?"))
    assert twice.count(too_soon) == (0 if key == "q" else 1)
    assert len(twice) > len(waited) + twice.count(too_soon)  # something came of it


def test_a_held_key_answers_nothing(demo_profiles: Path) -> None:
    """Repeats faster than a finger: only the first press is an answer, since it came late enough and alone."""
    client = demo_profiles / "tern"
    too_soon = client_store(client).content.messages.client.keys.too_soon
    held = [(1.0 + number * REPEAT_S / 3, "") for number in range(30)]
    written = told_of(client, *held, (60.0, "?"))
    assert written.count(too_soon) == len(held) - 1


def test_a_line_that_may_be_held_counts_where_the_input_ends_after_it(clients: tuple[Path, Path]) -> None:
    """Nothing can follow it then."""
    begun, ended = told_of(clients[0], (0.1, "")), told_of(clients[1], (0.1, ""), (0.1 + APART_S, ""))
    assert len(ended) > len(begun) + 1


def test_leaving_is_asked_at_once(demo_profiles: Path) -> None:
    """As on the screens: a key that answers nothing need not wait."""
    client = demo_profiles / "tern"
    page = client_store(client).content.messages.client
    assert page.keys.too_soon not in told_of(client, (0.0, "q"), (0.01, "n"), (60.0, "?"))
