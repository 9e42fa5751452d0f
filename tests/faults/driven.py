"""A whole session by the command itself, in a process of its own, with a hand that types and a clock that flies.

What the client has seen told goes through a pipe to the process that watches: it is what must be on the disk.
"""

import json
import os
import random
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path

import coach.cli
import coach.content_files.content_folder
import coach.screens.start
import coach.store.clock
from coach.model.content import Content
from coach.model.record import Entry, Record
from coach.screens.client.key_bindings import LEAVE, active_bindings
from coach.screens.plain.line_input import EndOfInput
from coach.screens.plain.plain_session import PlainSession
from coach.screens.start import DisplayMode, SessionOutcome
from coach.session.answer_keys import choices
from coach.session.rehearsal import clean_answer
from coach.session.state import Instant
from coach.store.live_session import LiveSession, Opening

Report = Callable[[bytes], object]
_MOST_LINES = 400
_USUAL, _LIKELY, _NOW_AND_THEN = 600, 60, 1


@dataclass
class FlyingClock:
    """Time passes only while the session waits."""

    start: datetime
    s: float = 0.0

    def __call__(self) -> Instant:
        return Instant(self.s, (self.start + timedelta(seconds=self.s)).replace(microsecond=0))


class Hand:
    """Types what a good day brings, and anything else now and then; after many lines it goes away."""

    def __init__(self, clock: FlyingClock, chance: random.Random) -> None:
        self.live: LiveSession | None = None
        self._clock = clock
        self._chance = chance
        self._left = _MOST_LINES

    def line(self, within_s: float | None) -> str | None:
        """A line where one is waited for; else the time passes."""
        self._left -= 1
        if self._left <= 0:
            raise EndOfInput
        if within_s is not None and self._chance.random() < 0.97:
            self._clock.s += within_s
            return None
        self._clock.s += self._chance.random() * 2
        return self._chosen()

    def _chosen(self) -> str:
        if self.live is None:
            return self._chance.choice("yyn")
        state = self.live.state
        keys = {
            command.key: _LIKELY if command.key == "enter" else _NOW_AND_THEN for command in active_bindings(state)
        }
        keys[LEAVE.key] = _NOW_AND_THEN
        if state.chosen is not None:
            keys |= {"y": _LIKELY, "n": _USUAL}
        elif state.question is not None:
            good = clean_answer(state.question) if state.asking is None else None
            for choice in choices(state.question, state.plan.content.signs):
                keys[choice.key] = _USUAL if choice.value == good else _NOW_AND_THEN
        key = self._chance.choices(list(keys), list(keys.values()))[0]
        return {"enter": "", "space": " "}.get(key, key)


class Watched(PlainSession):
    """The session line by line; what it has told is reported when it is told."""

    hand: Hand
    report: Report
    _reported: tuple[int, int] = (0, 0)

    def _show_page(self, live: LiveSession) -> None:
        super()._show_page(live)
        self.hand.live = live
        record = live.state.record
        if live.unsaved:  # the page says that it is not saved
            return
        if self._reported != (id(live), len(record.entry)):
            self._reported = (id(live), len(record.entry))
            self.report(as_line(record))


def as_line(record: Record) -> bytes:
    """A record as the watcher is told it: when it began, and every entry."""
    return json.dumps([record.started.isoformat(), [as_text(entry) for entry in record.entry]]).encode() + b"\n"


def as_text(entry: Entry) -> str:
    """An entry, to be compared."""
    return entry.model_dump_json()


@cache
def shipped() -> Content:
    """The content, read once for all sessions of a run."""
    return coach.content_files.content_folder.load_content(coach.content_files.content_folder.content_folder(), "en")


def session(folder: Path, start: datetime, seed: int, report: Report) -> int:
    """`coach session FOLDER --plain` at a time of day; its exit code. Replaces the clock and the hand."""
    clock, chance, content = FlyingClock(start), random.Random(seed), shipped()

    def run_session(content: Content, opening: Opening, _: DisplayMode) -> SessionOutcome:
        hand = Hand(clock, chance)
        watched = Watched(content, opening, clock, hand, lambda _: None)
        watched.hand, watched.report = hand, report
        return SessionOutcome(cut_off=not watched.run())

    coach.store.clock.now = clock
    coach.content_files.content_folder.load_content = lambda *_: content
    coach.screens.start.run_session = run_session  # type: ignore[assignment]  # of this process only
    coach.screens.start.choose_display = lambda *_: DisplayMode(True)
    return coach.cli.main(["session", str(folder), "--plain"])


def reporter(pipe: int) -> Report:
    """Reports through a pipe, past every fault that is put into the disk."""
    write = os.write
    return lambda line: write(pipe, line)
