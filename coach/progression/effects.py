"""What each effect of a rule does to the load, the repetitions and the status: one row an effect."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from coach.model.content import Effect
from coach.model.load import LoadStep
from coach.model.record import Move, Status, Variable
from coach.progression.situation import Situation


@dataclass(frozen=True)
class Outcome:
    """Where the client stands after the session; `change` names the sentence that says so."""

    move: Move
    variable: Variable | None
    load: LoadStep
    repetitions: int
    status: Status
    change: str


def _stays(situation: Situation, move: Move, status: Status, change: str) -> Outcome:
    return Outcome(move, None, situation.record.rungs_now.step, situation.goal, status, change)


def _to(situation: Situation, load: LoadStep, move: Move, status: Status = "active") -> Outcome:
    """A lighter load than the session began with, or the word that there is none."""
    lighter = load.mean_nm < situation.record.rungs.step.mean_nm
    if not lighter:
        stays: Move = "stop" if move == "stop" else "hold"
        return Outcome(stays, None, load, situation.goal, status, "lowest")
    change = "easier" if load.grade == situation.record.rungs.step.grade else "lighter"
    return Outcome(move, "load", load, situation.goal, status, change)


def _one_easier(situation: Situation, move: Move, status: Status = "active") -> Outcome:
    rungs = situation.record.rungs_now
    return _to(situation, rungs.easier or rungs.step, move, status)


def _already_easier(situation: Situation) -> Outcome:
    """The load went down within the session; it stays there."""
    return _to(situation, situation.record.rungs_now.step, "regress")


def _repetitions_up(situation: Situation) -> Outcome:
    """One more, or two where two more clean ones were left (C1, C3), never above the top."""
    top = situation.record.dose.repetitions_max
    repetitions = min(situation.goal + (2 if situation.two_more else 1), top)
    load = situation.record.rungs_now.step
    return Outcome("progress", "repetitions", load, repetitions, "active", "repetitions_up")


def _load_up(situation: Situation) -> Outcome:
    """The next step; where it rises by more than the limit, repetitions begin again at the bottom (C1, C3)."""
    rungs = situation.record.rungs_now
    load = rungs.next_step
    if load is None:
        return _stays(situation, "hold", "active", "stays")
    steep = load.mean_nm > rungs.step.mean_nm * (1 + situation.limits["load_rise_max"])
    repetitions = situation.record.dose.repetitions_min if steep else situation.goal
    return Outcome("progress", "load", load, repetitions, "active", "load_up_reset" if steep else "load_up")


EFFECTS: Mapping[Effect, Callable[[Situation], Outcome]] = {
    "stop_and_review": lambda situation: _stays(situation, "stop", "review", "review"),
    "stop_for_today": lambda situation: _stays(situation, "stop", "paused", "today"),
    "stop_and_easier": lambda situation: _one_easier(situation, "stop", "paused"),
    "easier_now": _already_easier,
    "lighter_now": _already_easier,
    "easier_next": lambda situation: _one_easier(situation, "regress"),
    "hold": lambda situation: _stays(situation, "hold", "active", "stays"),
    "repetitions_up": _repetitions_up,
    "load_up": _load_up,
}
STOPPING: frozenset[Effect] = frozenset(("stop_and_review", "stop_for_today", "stop_and_easier"))


def lighter_now(effect: Effect, situation: Situation) -> LoadStep | None:
    """The load to go on with at once, where the effect asks for less load now and there is less."""
    rungs = situation.record.rungs_now
    wanted = {"easier_now": rungs.easier, "lighter_now": rungs.lighter or rungs.easier}
    return wanted.get(effect)
