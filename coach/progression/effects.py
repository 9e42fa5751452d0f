"""What each effect of a rule does to the load, the repetitions and the status."""

from collections.abc import Callable, Mapping

from msgspec import Struct

from coach.model.content_entries import Effect
from coach.model.load_step import LoadStep, Rungs
from coach.model.record import Move, Status, Variable
from coach.progression.facts import SessionFacts


class Outcome(Struct, frozen=True):
    """Load, repetitions and status after the session; `change` names the message that says what changes."""

    move: Move
    variable: Variable | None
    load: LoadStep
    repetitions: int
    status: Status
    change: str


def _unchanged(facts: SessionFacts, move: Move, status: Status, change: str) -> Outcome:
    return Outcome(move, None, facts.record.programme_rungs.step, facts.goal, status, change)


def _already_eased(effect: Effect, facts: SessionFacts) -> bool:
    """Whether the load was lowered before and no set has been done with it, so that it is tried first."""
    return facts.before.eased and (effect in ("easier_now", "after_gap_now") or not facts.trained)


def _lower_step(effect: Effect, rungs: Rungs) -> LoadStep | None:
    """The load step that an effect asks for: a lighter band where there is one, else one step easier."""
    return (rungs.lighter or rungs.easier) if effect == "lighter_now" else rungs.easier


def _lower_load(effect: Effect, move: Move, status: Status) -> Callable[[SessionFacts], Outcome]:
    """An effect that lowers the load; where there is no lower step the load stays and the message says so."""

    def outcome(facts: SessionFacts) -> Outcome:
        record = facts.record
        eased = _already_eased(effect, facts)
        if effect in _AT_ONCE and record.programme_rungs != record.rungs:
            load: LoadStep | None = record.programme_rungs.step  # already lowered within the session
        else:
            load = None if eased else _lower_step(effect, record.current_rungs)
        if load is None or load.mean_nm >= record.rungs.step.mean_nm:
            change = "untried" if eased else "lowest"
            return _unchanged(facts, "stop" if move == "stop" else "hold", status, change)
        change = "easier" if load.grade == record.rungs.step.grade else "lighter"
        return Outcome(move, "load", load, facts.goal, status, change)

    return outcome


def _repetitions_up(facts: SessionFacts) -> Outcome:
    """One more, or two where two more clean ones were left (C1, C3), never above the top."""
    top = facts.record.dose.repetitions_max
    repetitions = min(facts.goal + (2 if facts.two_more else 1), top)
    load = facts.record.programme_rungs.step
    return Outcome("progress", "repetitions", load, repetitions, "active", "repetitions_up")


def _load_up(facts: SessionFacts) -> Outcome:
    """The next step; after light work the largest rise inside the limits.

    A rise above `load_rise_max`, which only records of older versions hold, also resets repetitions to the bottom of
    the range (C1, C3).
    """
    rungs = facts.record.programme_rungs
    load = rungs.next_for(facts.light)
    if load is None:
        return _unchanged(facts, "hold", "active", "stays")
    steep = load.mean_nm > rungs.step.mean_nm * (1 + facts.limits["load_rise_max"])
    repetitions = facts.record.dose.repetitions_min if steep else facts.goal
    return Outcome("progress", "load", load, repetitions, "active", "load_up_reset" if steep else "load_up")


_AT_ONCE: frozenset[Effect] = frozenset(("easier_now", "after_gap_now", "lighter_now"))
EFFECTS: Mapping[Effect, Callable[[SessionFacts], Outcome]] = {
    "stop_and_review": lambda facts: _unchanged(facts, "stop", "review", "review"),
    "stop_for_today": lambda facts: _unchanged(facts, "stop", "paused", "today"),
    "stop_and_easier": _lower_load("stop_and_easier", "stop", "paused"),
    "after_gap_now": _lower_load("after_gap_now", "regress", "active"),
    "easier_now": _lower_load("easier_now", "regress", "active"),
    "lighter_now": _lower_load("lighter_now", "regress", "active"),
    "easier_next": _lower_load("easier_next", "regress", "active"),
    "hold": lambda facts: _unchanged(facts, "hold", "active", "stays"),
    "repetitions_up": _repetitions_up,
    "load_up": _load_up,
    "suggest_position": lambda facts: _unchanged(facts, "hold", "review", "review"),
    "complete": lambda facts: _unchanged(facts, "hold", "complete", "maintain"),
}
STOPPING: frozenset[Effect] = frozenset(("stop_and_review", "stop_for_today", "stop_and_easier"))


def immediate_load(effect: Effect, facts: SessionFacts) -> LoadStep | None:
    """The load to use from the next set on, or None where the effect asks for none or there is no lower step."""
    if effect not in _AT_ONCE or _already_eased(effect, facts):
        return None
    return _lower_step(effect, facts.record.current_rungs)
