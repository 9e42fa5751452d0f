"""When something changes that the client must not miss: the signals of a set and of a rest.

A signal is worked out from the time course, never counted, so that any schedule of looks at the clock finds the
same signals at the same times.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from coach.model.messages.session_screens import SignalName
from coach.session.script import Rest, Work
from coach.session.state import State
from coach.session.tempo import Phase, SetTime

_SIGNALS: Mapping[Phase, SignalName] = {"out": "out", "hold": "hold", "back": "back", "relax": "relax"}


@dataclass(frozen=True)
class Signal:
    """One change, `at_s` seconds after the count-in or the rest began."""

    at_s: float
    name: SignalName


def set_signals(time: SetTime) -> Iterator[Signal]:
    """The signals of a set in order: a count each second of the count-in, each phase, and the end.

    A phase of no length has no signal. The way out of the last repetition has its own.
    """
    for second in range(1, math.ceil(time.count_in_s)):
        yield Signal(float(second), "count")
    for done in range(time.repetitions):
        last = done == time.repetitions - 1
        at_s = time.count_in_s + done * time.repetition_s
        for phase, start_s, length_s in time.phases:
            if length_s and not (last and phase == "relax"):
                yield Signal(at_s + start_s, "last_repetition" if last and phase == "out" else _SIGNALS[phase])
    yield Signal(time.total_s, "set_over")


def signals_between(before: State, after: State) -> tuple[Signal, ...]:
    """The signals that came due between two looks at a session.

    None where the session stood still, or was found to have stood still: after a gap nothing is made up for.
    """
    time = before.time_left
    if before.watch.since_s is None or after.paused:
        return ()
    if time is not None:
        signals: tuple[Signal, ...] = tuple(set_signals(time))
    elif isinstance(before.step, Rest):
        signals = (Signal(before.step.seconds, "rest_over"),)
    else:
        return ()
    from_s, to_s = before.watch.elapsed_s(before.seen_s), before.watch.elapsed_s(after.seen_s)
    return tuple(signal for signal in signals if from_s < signal.at_s <= to_s)


def until_change_s(state: State, now_s: float) -> float | None:
    """Seconds until the phase or the number of seconds left changes; None where nothing runs."""
    if state.over or state.watch.since_s is None:
        return None
    moment = state.moment(now_s)
    left_s = moment.left_s if moment is not None else state.rest_left_s(now_s)
    if not isinstance(state.step, Work | Rest):
        return None
    return max(0.0, left_s - max(math.ceil(left_s) - 1, 0))
