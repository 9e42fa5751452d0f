"""What each effect of a rule does to the load, the repetitions and the status: one row an effect."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from coach.model.content_entries import Effect
from coach.model.load_step import LoadStep, Rungs
from coach.model.record import Move, Status, Variable
from coach.progression.facts import Situation


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
    return Outcome(move, None, situation.record.rungs_kept.step, situation.goal, status, change)


def _already_eased(effect: Effect, situation: Situation) -> bool:
    """The load was made easier before and not a set was done with it: it is tried before it goes down again."""
    return situation.before.eased and (effect == "easier_now" or not situation.trained)


def _wanted(effect: Effect, rungs: Rungs) -> LoadStep | None:
    """The lighter load that an effect asks for: a lighter band where there is one, else one step easier."""
    return (rungs.lighter or rungs.easier) if effect == "lighter_now" else rungs.easier


def _less(effect: Effect, move: Move, status: Status) -> Callable[[Situation], Outcome]:
    """Less load from the next set or the next session on, or the word that there is none."""

    def outcome(situation: Situation) -> Outcome:
        record = situation.record
        eased = _already_eased(effect, situation)
        if effect in _AT_ONCE and record.rungs_kept != record.rungs:
            load: LoadStep | None = record.rungs_kept.step  # it went down within the session, and stays there
        else:
            load = None if eased else _wanted(effect, record.rungs_now)
        if load is None or load.mean_nm >= record.rungs.step.mean_nm:
            change = "untried" if eased else "lowest"
            return _stays(situation, "stop" if move == "stop" else "hold", status, change)
        change = "easier" if load.grade == record.rungs.step.grade else "lighter"
        return Outcome(move, "load", load, situation.goal, status, change)

    return outcome


def _repetitions_up(situation: Situation) -> Outcome:
    """One more, or two where two more clean ones were left (C1, C3), never above the top."""
    top = situation.record.dose.repetitions_max
    repetitions = min(situation.goal + (2 if situation.two_more else 1), top)
    load = situation.record.rungs_kept.step
    return Outcome("progress", "repetitions", load, repetitions, "active", "repetitions_up")


def _load_up(situation: Situation) -> Outcome:
    """The next step; where it rises by more than the limit, repetitions begin again at the bottom (C1, C3)."""
    rungs = situation.record.rungs_kept
    load = rungs.next_step
    if load is None:
        return _stays(situation, "hold", "active", "stays")
    steep = load.mean_nm > rungs.step.mean_nm * (1 + situation.limits["load_rise_max"])
    repetitions = situation.record.dose.repetitions_min if steep else situation.goal
    return Outcome("progress", "load", load, repetitions, "active", "load_up_reset" if steep else "load_up")


_AT_ONCE: frozenset[Effect] = frozenset(("easier_now", "lighter_now"))
EFFECTS: Mapping[Effect, Callable[[Situation], Outcome]] = {
    "stop_and_review": lambda situation: _stays(situation, "stop", "review", "review"),
    "stop_for_today": lambda situation: _stays(situation, "stop", "paused", "today"),
    "stop_and_easier": _less("stop_and_easier", "stop", "paused"),
    "easier_now": _less("easier_now", "regress", "active"),
    "lighter_now": _less("lighter_now", "regress", "active"),
    "easier_next": _less("easier_next", "regress", "active"),
    "hold": lambda situation: _stays(situation, "hold", "active", "stays"),
    "repetitions_up": _repetitions_up,
    "load_up": _load_up,
    "suggest_position": lambda situation: _stays(situation, "hold", "review", "review"),
    "complete": lambda situation: _stays(situation, "hold", "complete", "maintain"),
}
STOPPING: frozenset[Effect] = frozenset(("stop_and_review", "stop_for_today", "stop_and_easier"))


def load_at_once(effect: Effect, situation: Situation) -> LoadStep | None:
    """The load to go on with at once, where the effect asks for less load now and there is less."""
    if effect not in _AT_ONCE or _already_eased(effect, situation):
        return None
    return _wanted(effect, situation.record.rungs_now)
