"""The signals of a set and of a rest: changes that the client must not miss.

Signals are derived from the time course, so that updates at any times find the same signals at the same times.
"""

import math
from collections.abc import Iterator, Mapping

from msgspec import Struct

from coach.model.messages.client import SignalName
from coach.session.lessons.pacing import Pace, is_paced
from coach.session.script import Rest, Trial
from coach.session.state import State
from coach.session.tempo import Phase, SetTiming

_DIGITS = 6
_SIGNALS: Mapping[Phase, SignalName] = {"out": "out", "hold": "hold", "back": "back", "relax": "relax"}


class Signal(Struct, frozen=True):
    """One change, `at_s` seconds after the count-in or the rest began."""

    at_s: float
    name: SignalName


def set_signals(time: SetTiming, pace: Pace = "seconds", done_before: int = 0) -> Iterator[Signal]:
    """The signals of a set in order: each second of the count-in, the start of each phase, and the end.

    A phase of zero length has no signal; the concentric phase of the last repetition has its own. A repetition that
    is not led has none. `done_before`: repetitions of the set done before a pause.
    """
    for second in range(1, math.ceil(time.count_in_s)):
        yield Signal(float(second), "count")
    for done in range(time.repetitions):
        last = done == time.repetitions - 1
        if not is_paced(pace, done_before + done + 1, done_before + time.repetitions):
            continue
        at_s = time.count_in_s + done * time.repetition_s
        for phase, start_s, length_s in time.phases:
            if length_s and not (last and phase == "relax"):
                yield Signal(at_s + start_s, "last_repetition" if last and phase == "out" else _SIGNALS[phase])
    yield Signal(time.total_s, "set_over")


def signals_between(before: State, after: State) -> tuple[Signal, ...]:
    """The signals that came due between two states of a session.

    Empty if the session was paused, or paused by a gap: missed signals are not repeated.
    """
    time = before.remaining_set
    if before.watch.since_s is None or after.paused:
        return ()
    if time is not None:
        signals: tuple[Signal, ...] = tuple(set_signals(time, before.pace, before.whole))
    elif isinstance(before.step, Rest):
        signals = (Signal(before.step.seconds, "rest_over"),)
    else:
        return ()
    from_s, to_s = sounded_until_s(before, before.seen_s), sounded_until_s(before, after.seen_s)
    return tuple(signal for signal in signals if from_s < signal.at_s <= to_s)


def sounded_until_s(state: State, now_s: float) -> float:
    """Elapsed seconds of the step up to which signals have come due at `now_s`.

    Rounded, or a moment that is reached but for the last digit of a sum would be missed until the next change.
    """
    return round(state.watch.elapsed_s(now_s), _DIGITS)


def until_change_s(state: State, now_s: float) -> float | None:
    """Seconds until the phase or the displayed number of seconds changes; None if no time is running.

    While the client's own tempo is timed, nothing changes by itself. The session is updated every second all the
    same, because time without an update is a gap.
    """
    if state.over or state.watch.since_s is None:
        return None
    if isinstance(state.step, Trial):
        elapsed_s = state.watch.elapsed_s(now_s)
        return math.floor(elapsed_s) + 1 - elapsed_s
    moment = state.moment(now_s)
    left_s = moment.left_s if moment is not None else state.rest_left_s(now_s)
    if moment is None and not isinstance(state.step, Rest):
        return None
    return max(0.0, left_s - max(math.ceil(left_s) - 1, 0))
