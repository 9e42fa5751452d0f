"""How much of the tempo is given in a set: every second at first, and less and less as sets stay clean.

Live feedback on tempo brought the deviation from 4.3 to 1.5 s of a repetition of 8 s: Riel H et al., Med Sci Sports
Exerc 2018;50:28 (abstract). That the guidance fades, so that the tempo is learned and not only followed, and how fast
it does, is our own choice.
"""

from collections.abc import Mapping
from typing import Literal

from coach.model.content_entries import FormQuestion
from coach.model.exercise import Position
from coach.model.progress import Progress
from coach.model.record import Record
from coach.progression.facts import extract_facts
from coach.progression.rule_book import RuleBook
from coach.progression.timing import timing_is_off
from coach.session.lessons.teaching import is_shown_again, questions_due

Pace = Literal["seconds", "phases", "ends", "none"]
"""Every second; the phases only; the phases of the first and the last repetition; nothing but begin and end."""


def pace_after(clean_sets: int, limits: Mapping[str, float]) -> Pace:
    """The pace of a set after so many clean sets in a row at this load and setup."""
    if clean_sets >= limits["pace_none_from"]:
        return "none"
    if clean_sets >= limits["pace_ends_from"]:
        return "ends"
    return "phases" if clean_sets >= limits["pace_phases_from"] else "seconds"


def pace_of_next_set(before: Progress, record: Record, book: RuleBook) -> Pace:
    """The pace of the set that comes next in a record: all of it in the first set with more repetitions than before.

    The fading goes on after that set if it was clean: most clean sessions end with a rise of repetitions, so it would
    never begin if each of them started it again. A rise of the load does start it again.
    """
    facts = extract_facts(before, record, book, "session")
    risen = before.decision is not None and before.decision.variable == "repetitions"
    return "seconds" if risen and not facts.sets else pace_after(facts.pace_sets, facts.limits)


def is_paced(pace: Pace, repetition: int, repetitions: int) -> bool:
    """Whether this repetition is led, counted from 1."""
    return pace in ("seconds", "phases") or (pace == "ends" and repetition in (1, repetitions))


def trial_is_due(
    before: Progress, position: Position, questions: Mapping[str, FormQuestion], limits: Mapping[str, float]
) -> bool:
    """Whether the client's own tempo is timed today: at intervals, and after a trial that was off in every session.

    Never before the client was shown what a rushed repetition is. Beside a trial there is place for one thing: a
    question that is due, or the fault named last. While there is more it waits, at most the interval again.
    """
    timed = timing_question(position, questions)
    if timed is None or questions[timed].fault not in before.taught.get(before.exercise, ()):
        return False
    if timing_is_off(before.trial, limits):
        return True
    due = [name for name in questions_due(before, position, questions, limits) if name != timed]
    waits = len(due) + is_shown_again(before, limits) > 1
    return before.trial_ago >= limits["trial_every_sessions"] * (2 if waits else 1)


def timing_question(position: Position, questions: Mapping[str, FormQuestion]) -> str | None:
    """The form question of this position that is about the tempo; None if it has none."""
    return next((name for name in position.questions if questions[name].wrong == "too_fast"), None)
