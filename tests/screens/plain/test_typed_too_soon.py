"""Lines typed at a keyboard that come too soon, twice, or from a key that is held."""

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


@pytest.mark.parametrize("key", ["q", "", "0"])
def test_a_line_typed_again_after_a_second_is_taken(demo_profiles: Path, key: str) -> None:
    """However often it was too soon before: who presses again each second is not refused for ever."""
    assert SETTLE_S < APART_S < HELD_AFTER_S
    client = demo_profiles / "tern"
    too_soon = client_store(client).content.messages.client.keys.too_soon
    once = told_of(client, (0.1, key), (0.1 + APART_S, key), (60.0, "?"))
    assert once.count(too_soon) == (0 if key == "q" else 1)


def test_a_held_key_answers_nothing(demo_profiles: Path) -> None:
    """Repeats faster than a finger: not one of them is an answer, the first included if the others follow at once."""
    client = demo_profiles / "tern"
    too_soon = client_store(client).content.messages.client.keys.too_soon
    held = [(1.0 + number * REPEAT_S / 3, "") for number in range(30)]
    written = told_of(client, *held, (60.0, "?"))
    assert written.count(too_soon) == len(held) - 1  # the first came late enough and alone


def test_leaving_is_asked_at_once(demo_profiles: Path) -> None:
    """As on the screens: a key that answers nothing need not wait."""
    client = demo_profiles / "tern"
    page = client_store(client).content.messages.client
    assert page.keys.too_soon not in told_of(client, (0.0, "q"), (0.01, "n"), (60.0, "?"))
