"""The sets of a client as they were done, each with its load and what was answered about it. Pure."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from coach.model import step_names
from coach.model.content_entries import Fault
from coach.model.load_step import LoadStep
from coach.model.progress import Progress
from coach.model.record import BandAtHand, LoadChanged, Record, SetDone
from coach.progression.facts import extract_facts
from coach.progression.rule_book import RuleBook


@dataclass(frozen=True)
class PerformedSet:
    """One set in its session: the load step that was in use then, and the answers after it."""

    record: Record
    done: SetDone
    load: LoadStep
    faults: tuple[Fault, ...]
    not_sure: int
    pain: int | None
    """The worst in the set; None where it was not said."""
    trouble: str | None
    """What the pain key was answered with, and where it hurt; None where it was not pressed or not said."""
    trouble_where: str | None
    effort: int | None
    """Asked after the last set only."""


def performed_sets(records: Sequence[Record], before: Progress, book: RuleBook) -> Iterator[PerformedSet]:
    """Every set of every record in the order of time; `before` is any progress of the client."""
    for record in records:
        answers = record.answers
        facts = {one.number: one for one in extract_facts(before, record, book, "session").sets}
        load = record.rungs.step
        for entry in record.entry:
            if isinstance(entry, LoadChanged | BandAtHand):
                load = entry.rungs.step
            elif isinstance(entry, SetDone):
                fact = facts.get(entry.number)
                said = {name: answers.get(step_names.in_set(entry.number, name)) for name in _ASKED}
                pains = [pain for pain in (said[name] for name in _PAINS) if isinstance(pain, int)]
                effort = said[step_names.EFFORT]
                yield PerformedSet(
                    record=record,
                    done=entry,
                    load=load,
                    faults=fact.faults if fact else (),
                    not_sure=fact.not_sure if fact else 0,
                    pain=max(pains, default=None),
                    trouble=_word(said[step_names.TROUBLE]),
                    trouble_where=_word(said[step_names.TROUBLE_WHERE]),
                    effort=effort if isinstance(effort, int) else None,
                )


def _word(said: int | str | None) -> str | None:
    return said if isinstance(said, str) else None


_PAINS = (step_names.PAIN, step_names.TROUBLE_PAIN)
_ASKED = (*_PAINS, step_names.TROUBLE, step_names.TROUBLE_WHERE, step_names.EFFORT)
