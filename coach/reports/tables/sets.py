"""The sets that a client performed, each with its load and the answers about it. Pure."""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from coach.model import step_names
from coach.model.content_entries import Fault
from coach.model.instruction import Instruction
from coach.model.load_step import LoadStep
from coach.model.progress import Progress
from coach.model.record import BandAtHand, LoadChanged, Record, SetDone
from coach.progression.facts import extract_facts
from coach.progression.rule_book import RuleBook


class PerformedSet(Struct, frozen=True):
    """One set of a session, with the load step in use and the answers about it."""

    record: Record
    done: SetDone
    load: LoadStep
    faults: tuple[Fault, ...]
    not_sure: int
    pain: int | None
    """The worst pain of the set, 0 to 10; None if not answered."""
    trouble: str | None
    """The kind of problem reported with the pain key; None if not pressed or not answered."""
    trouble_where: str | None
    effort: int | None
    """How hard the set felt; asked only after the last set."""


def performed_sets(records: Sequence[Record], before: Progress, book: RuleBook) -> Iterator[PerformedSet]:
    """The sets of all records in chronological order; `before` is any progress of the client."""
    for record in records:
        answers = record.answers
        facts = {one.number: one for one in extract_facts(before, record, book, "session").sets}
        load = record.rungs.step
        for entry in record.entry:
            if isinstance(entry, LoadChanged | BandAtHand):
                load = entry.rungs.step
            elif isinstance(entry, SetDone):
                fact = facts.get(entry.number)
                answered = {name: answers.get(step_names.in_set(entry.number, name)) for name in _ASKED}
                pains = [pain for pain in (answered[name] for name in _PAINS) if isinstance(pain, int)]
                effort = answered[step_names.EFFORT]
                yield PerformedSet(
                    record=record,
                    done=entry,
                    load=load,
                    faults=fact.faults if fact else (),
                    not_sure=fact.not_sure if fact else 0,
                    pain=max(pains, default=None),
                    trouble=_text(answered[step_names.TROUBLE]),
                    trouble_where=_text(answered[step_names.TROUBLE_WHERE]),
                    effort=effort if isinstance(effort, int) else None,
                )


def _text(answer: int | str | None) -> str | None:
    return answer if isinstance(answer, str) else None


_PAINS = (step_names.PAIN, step_names.TROUBLE_PAIN)
_ASKED = (*_PAINS, step_names.TROUBLE, step_names.TROUBLE_WHERE, step_names.EFFORT)
_LISTED_APART = {"at", "initials", "what", "reason", "written", "lighter"}


def activities_by_step(record: Record) -> dict[str, str]:
    """The client's own activities, by the step in which they are rated."""
    return {step_names.activity(number): text for number, text in enumerate(record.activities, 1)}


def signed_text(signed: Instruction) -> str:
    """An instruction of the therapist with its values and the reason."""
    more = signed.model_dump(mode="json", exclude_defaults=True, exclude=_LISTED_APART)
    said = " ".join(f"{name}={value}" for name, value in more.items())
    what = f"{signed.what} {said}" if said else signed.what
    return f"{what}: {signed.reason}"
