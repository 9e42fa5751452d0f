"""Runs a plain session without a terminal: collects its output and types lines at the right moments."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from coach.commands.support.loading import client_store
from coach.content_files.content_folder import content_folder, load_content
from coach.model.answers_file import Answers
from coach.model.record import Decision, Record
from coach.progression.decision_messages import next_time_told
from coach.screens.client.answer_player import AnswerPlayer
from coach.screens.plain.line_input import EndOfInput, NoInput
from coach.screens.plain.plain_session import PlainSession
from coach.store.client_folder import read_client_folder
from coach.store.client_store import ClientStore
from coach.store.live_session import open_session
from tests.clocks import START, FakeClock
from tests.plans import shipped

# Keys from the first page of a first session to its first count-in: no pain, no painkiller, no sign, setup, checks.
# In a first session two faults are shown, and only they are asked about.
TO_THE_FIRST_SET = ("", "", "0", "1", "n", "", "y", "y", "y", "", "y", "", "", "")
CLEAN_AFTER_SET = ("0", "0", "0")


@dataclass
class Typist:
    """Types one line whenever the session waits for nothing else; lines with a time come while time passes."""

    clock: FakeClock
    lines: Sequence[str]
    timed: dict[float, str] = field(default_factory=dict)
    waits: list[float] = field(default_factory=list)

    def line(self, within_s: float | None) -> str | None:
        """The next line; with time running, time passes up to the next change or the next timed line."""
        if within_s is None:
            if not self.lines:
                raise EndOfInput
            first, *self.lines = self.lines
            return first
        self.waits.append(within_s)
        due = [at_s for at_s in self.timed if at_s <= self.clock.s + within_s]
        if due:
            at_s = min(due)
            self.clock.advance(max(0.0, at_s - self.clock.s))
            return self.timed.pop(at_s)
        self.clock.advance(within_s)
        return None


@dataclass
class Told:
    """A session that was run: its output, whether it reached its end, and its record on disk."""

    lines: list[str]
    finished: bool
    record: Record
    typist: Typist

    def after(self, line: str) -> list[str]:
        """The lines written after this one."""
        return self.lines[self.lines.index(line) + 1 :]


def told(folder: Path, lines: Sequence[str], timed: dict[float, str] | None = None) -> Told:
    """A session with typed lines."""
    clock, out = FakeClock(), list[str]()
    content = load_content(content_folder(), "en")
    client = ClientStore.read(folder, content)
    typist = Typist(clock, lines, timed or {})
    session = PlainSession(content, open_session(client, clock()), clock, typist, out.append)
    finished = session.run()
    return Told(out, finished, newest(folder), typist)


def run_with_answers(folder: Path, answers: Answers, write: Callable[[str], None], start: datetime = START) -> bool:
    """Run a session with answers from a file and no input, with the clinic's content; its record is kept."""
    client = client_store(folder)
    content = client.content
    nobody = NoInput(FakeClock(start)(), speed=math.inf)
    opening = open_session(client, nobody.clock())
    return PlainSession(content, opening, nobody.clock, nobody, write, AnswerPlayer(answers)).run()


def newest(folder: Path) -> Record:
    """The newest record of a client."""
    return read_client_folder(folder).records[-1]


def without_times(record: Record) -> list[dict[str, object]]:
    """A record without its times of day."""
    return [entry.model_dump(exclude={"at"}) for entry in record.entry]


def reason_lines(decision: Decision) -> list[str]:
    """The reason of a decision as the end says it: with what it goes on next time, and why, a line each."""
    told = next_time_told(decision, shipped())
    why = " ".join(decision.reason.replace(told, "").split()) if told else decision.reason
    return [line for line in (told, why) if line]
