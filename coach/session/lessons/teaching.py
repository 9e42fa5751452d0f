"""Which faults are shown before the first set, and which form questions follow each set.

A fault is shown before it is asked about for the first time. The questions named first in a position are asked after
every set; the others take turns, the one asked longest ago first.
"""

import math
from collections.abc import Mapping, Sequence
from itertools import islice

from coach.model.content_entries import FormQuestion
from coach.model.exercise import Position
from coach.model.progress import Progress
from coach.progression.timing import timing_is_off


def lessons_due(
    before: Progress, position: Position, questions: Mapping[str, FormQuestion], limits: Mapping[str, float]
) -> tuple[FormQuestion, ...]:
    """The form questions whose faults are shown today, in order.

    Those never shown come first; once all were, the tempo where it was off, else the fault named last, until the form
    has been clean again for `cue_each_set_until` sets.
    """
    known = before.taught.get(before.exercise, ())
    asked = [questions[name] for name in position.questions]
    new = [one for one in asked if one.fault not in known]
    if new:
        return tuple(new[: round(limits["teach_each_session"])])
    if timing_is_off(before.trial, limits):
        return tuple(islice((one for one in asked if one.wrong == "too_fast"), 1))
    if before.clean_sets >= limits["cue_each_set_until"]:
        return ()
    return tuple(islice((one for one in asked if one.fault == before.newest_fault), 1))


def form_of_sets(
    before: Progress,
    position: Position,
    questions: Mapping[str, FormQuestion],
    limits: Mapping[str, float],
    sets: int,
    trial: bool,
) -> tuple[tuple[str, ...], ...]:
    """The names of the form questions after each of `sets` sets; only faults shown by then are asked about."""
    shown = {*before.taught.get(before.exercise, ())}
    shown |= {one.fault for one in lessons_due(before, position, questions, limits)}
    names = [name for name in position.questions if questions[name].fault in shown]
    always = [name for name in position.questions[: round(limits["form_each_set"])] if name in names]
    timed = {name for name in names if trial and questions[name].wrong == "too_fast"}
    others = [name for name in names if name not in always and name not in timed]
    turns = _turns(others, before, limits, sets, trial)
    return tuple((*always, *turns[number::sets]) for number in range(sets))


def _turns(
    others: Sequence[str], before: Progress, limits: Mapping[str, float], sets: int, trial: bool
) -> Sequence[str]:
    """The questions that take turns today: enough to come round in time, and at least one after each set.

    Beside a trial there is only one: the presses of a session are few.
    """
    if not others:
        return ()
    ago = before.form_asked
    longest_first = sorted(others, key=lambda name: -ago.get(name, math.inf))
    least = math.ceil(len(others) / limits["form_asked_sessions"])
    return _cycled(longest_first, 1 if trial else max(sets, least), sets)


def _cycled(names: Sequence[str], wanted: int, sets: int) -> Sequence[str]:
    """The names again from the first until there are `wanted`, never one twice after the same set."""
    found: list[str] = []
    for index in range(wanted):
        name = names[index % len(names)]
        if name in found[index % sets :: sets]:
            break
        found.append(name)
    return found
