"""Virtual clients with a tempo of their own: which are told, after how many sets, and how much of it is led.

`python -m tests.session.timing` prints each of them over thirty sessions. Unpaced, ten healthy adults took 1.0 to
2.6 s for a band rotation (computed from the recordings of Burns DM et al., Physiol Meas 2018;39:075007); 9.3 s are
asked.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta

from msgspec.structs import replace

from coach.session.plan import Plan
from coach.session.simulation.timing_client import TimedSession, TimingClient, timed_sessions
from tests.clocks import START
from tests.plans import plan_of

RIGHT_S = 28.0  # three repetitions of 3 s out, 2 s hold, 3 s back and 2 s between them: 3 x 8 + 2 x 2
SLIPS_IN, TO_S = 8, 2.0
_STAGES = ("seconds", "phases", "ends", "none")

CLIENTS: Mapping[str, TimingClient] = {
    **{f"rushes, {seconds} s": TimingClient(seconds) for seconds in (1.0, 1.4, 1.8, 2.2, 2.6, 3.0)},
    "rushes, 1.8 s, and learns": TimingClient(1.8, learns=0.6),
    "keeps time": TimingClient(RIGHT_S / 3),
    "keeps time, then rushes": TimingClient(RIGHT_S / 3, slips=(SLIPS_IN, TO_S)),
    "keeps time, then rushes, and learns": TimingClient(RIGHT_S / 3, learns=0.6, slips=(SLIPS_IN, TO_S)),
    "a little fast, 8.2 s": TimingClient(8.2),
    "a little slow, 10.4 s": TimingClient(10.4),
}


@dataclass(frozen=True)
class Life:
    """What became of one client: `told_after` are the sets before each time that they were told."""

    told_after: tuple[int, ...]
    rises_while_off: int
    rises: int
    paces: tuple[str, ...]
    faded_while_off: int


def untaught() -> Plan:
    """A client to whom nothing was shown yet."""
    some = plan_of("tern")
    update = {"taught": {}, "form_asked": {}, "first_session": START - timedelta(days=60)}
    return replace(some, before=some.before.model_copy(update=update))


def lives(sessions: int) -> dict[str, Life]:
    """Each client over so many sessions, two days apart."""
    return {name: _life(list(timed_sessions(untaught(), one, sessions, START))) for name, one in CLIENTS.items()}


def _life(sessions: list[TimedSession]) -> Life:
    off = [one.rule == "timing_off" for one in sessions]
    after_off = [one for before, one in zip(off, sessions[1:], strict=False) if before]
    return Life(
        tuple(one.sets_before for one in sessions if one.rule == "timing_off"),
        sum(one.rises for one, is_off in zip(sessions, off, strict=True) if is_off),
        sum(one.rises for one in sessions),
        tuple(one.pace for one in sessions),
        sum(one.pace != "seconds" for one in after_off),
    )


def told(life: Life) -> str:
    """One life in a line; of the pace one sign a session: 0 to 3 stages less than full."""
    when = f"first after {life.told_after[0]} sets, {len(life.told_after)} times" if life.told_after else "never"
    paces = "".join(str(_STAGES.index(pace)) for pace in life.paces)
    return (
        f"told {when}; rises {life.rises}, while told {life.rises_while_off}; "
        f"pace {paces}, less than full after being told {life.faded_while_off}"
    )


if __name__ == "__main__":
    for name, life in lives(30).items():
        print(f"{name:36} {told(life)}")
