"""Measured sets beside the answers of their sessions: where they differ, and how far answers can be relied on."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime

from coach.model.base import Name
from coach.model.measured.measured_course import Agreement, MeasuredCourse
from coach.model.measured.measured_set import MeasuredSet
from coach.model.measured.tempo_kept import (
    ANSWERED_FAULTS,
    Compared,
    Difference,
    at_tempo,
    differences,
    elbow_moved_deg,
    range_lost_deg,
    timed,
)
from coach.model.record import Record, SetDone
from coach.progression.facts import extract_facts
from coach.progression.rule_book import RuleBook
from coach.progression.state_machine import JudgedRecord

SetKey = tuple[datetime, Name | None, int]
_COMPARED: Mapping[Difference, Compared] = {
    "count": "count",
    "range_lost": "range",
    "range_kept": "range",
    "elbow_moved": "elbow",
    "elbow_still": "elbow",
    "tempo_rushed": "tempo",
    "tempo_unhurried": "tempo",
}


def set_differences(one: MeasuredSet, judged: JudgedRecord, book: RuleBook) -> tuple[Difference, ...]:
    """Where a measured set differs from what was recorded and answered of it; nothing where it was not done."""
    record = judged.record
    done = _done(one, record)
    if done is None:
        return ()
    facts = extract_facts(judged.before, record, book, "session").sets
    faults = next((each.faults for each in facts if each.number == one.set), ())
    answered, tempo, limits = answered_faults(one, record, book), record.dose.tempo, book.limits(record.limits)
    return differences(one, done.repetitions, faults, answered, tempo, limits)


def answered_faults(one: MeasuredSet, record: Record, book: RuleBook) -> tuple[Name, ...]:
    """The faults whose question was answered for this set, other than with "not sure"."""
    found = []
    for asked in book.asked_in_set(record, one.set):
        often = asked.question.how_often(record.answer(asked.step), record.answer(asked.often or ""))
        if often not in (None, "not_sure"):
            found.append(asked.question.fault)
    return tuple(found)


def measured_course(
    judged: Sequence[JudgedRecord], by_set: Mapping[SetKey, MeasuredSet], book: RuleBook, limits: Mapping[str, float]
) -> MeasuredCourse:
    """What was measured of one exercise."""
    if not by_set:
        return MeasuredCourse()
    found = [(one, by_set[key]) for one in judged for key in _keys(one.record) if key in by_set]
    agreement: dict[Compared, Agreement] = {}
    for one, of_set in found:
        differing = {_COMPARED[name] for name in set_differences(of_set, one, book)}
        for what in _comparable(of_set, one.record, book):
            before = agreement.get(what, Agreement())
            agreement[what] = Agreement(same=before.same + (what not in differing), of=before.of + 1)
    return MeasuredCourse(
        sessions=len({one.record.started for one, _ in found}),
        of_sessions=sum(bool(one.record.sets_done) for one in judged),
        sets=len(found),
        repetitions=sum(timed(of_set) for _, of_set in found),
        at_tempo=sum(
            at_tempo(of_set, one.record.dose.tempo, book.limits(one.record.limits)) for one, of_set in found
        ),
        agreement=agreement,
        unlike=tuple(what for what, one in agreement.items() if _is_unlike(one, limits)),
    )


def _is_unlike(one: Agreement, limits: Mapping[str, float]) -> bool:
    return one.of >= limits["answers_compared_least"] and one.same < limits["answers_relied_on"] * one.of


def _comparable(one: MeasuredSet, record: Record, book: RuleBook) -> Iterator[Compared]:
    """What is known of a set from both sides."""
    answered = answered_faults(one, record, book)
    yield "count"
    if range_lost_deg(one) is not None and ANSWERED_FAULTS["range"] in answered:
        yield "range"
    if elbow_moved_deg(one) is not None and ANSWERED_FAULTS["elbow"] in answered:
        yield "elbow"
    if one.repetition and ANSWERED_FAULTS["tempo"] in answered:
        yield "tempo"


def _keys(record: Record) -> Iterator[SetKey]:
    yield from ((record.started, record.name, done.number) for done in record.sets_done)


def _done(one: MeasuredSet, record: Record) -> SetDone | None:
    return next((done for done in record.sets_done if done.number == one.set), None)
