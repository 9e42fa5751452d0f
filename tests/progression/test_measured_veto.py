"""A fault that a sensor measured lets nothing rise, whenever the measurement comes, and never lets anything rise."""

from random import Random

import pytest

from coach.model.measured.tempo_kept import MeasuredFault
from coach.model.record import Ended, Record
from coach.progression.measured.veto import Vetoes
from coach.progression.state_machine import FoldStep, advance, fold, fold_steps, initial_progress
from tests.progression.records import DOSE, STEPS, book, prescription, session
from tests.progression.test_told_decisions import history

FAULT: tuple[MeasuredFault, ...] = ("range_lost",)


def _told(*made: Record) -> list[Record]:
    """The sessions, each closed with the decision that its client was told."""
    progress, records = initial_progress(prescription()), list[Record]()
    for one in made:
        judged = advance(progress, one, book())
        records.append(one.with_entry(Ended(at=one.last_at, how="finished", decision=judged.decision)))
        progress = judged.after
    return records


def _ready(target_nm: float | None = None) -> list[Record]:
    """Clean sessions at the top of the range, the last of which comes after familiarisation."""
    return _told(*(session(days=days, goal=DOSE.repetitions_max, target_nm=target_nm) for days in (0, 7, 15)))


def _vetoes(*records: Record) -> Vetoes:
    return {(one.started, one.name): FAULT for one in records}


def _last(records: list[Record], vetoes: Vetoes) -> FoldStep:
    return tuple(fold_steps(prescription(), records, book(), vetoes=vetoes))[-1]


def test_a_rise_that_was_told_does_not_hold() -> None:
    records = _ready()
    assert records[-1].ended is not None
    assert records[-1].ended.decision.variable == "load"
    step = _last(records, _vetoes(records[-1]))
    assert step.judged is not None
    assert step.judged.veto is not None
    assert step.judged.decision == records[-1].ended.decision  # what was told stays
    assert (step.judged.veto.move, step.judged.veto.rule) == ("hold", "measured_fault")
    assert "the hand stopped short of the line" in step.judged.veto.reason
    assert (step.progress.load, step.progress.ready_sessions) == (STEPS[3], 0)
    assert step.progress.decision == step.judged.veto


def test_repetitions_stay_as_they_were() -> None:
    records = _told(session(days=0, goal=10))
    assert fold(prescription(), records, book())[0].repetitions > 10
    assert _last(records, _vetoes(records[0])).progress.repetitions == 10


def test_a_session_that_would_count_towards_a_rise_does_not() -> None:
    records = _told(session(days=0, goal=DOSE.repetitions_max))
    assert fold(prescription(), records, book())[0].ready_sessions == 1
    progress = _last(records, _vetoes(records[0])).progress
    assert (progress.ready_sessions, progress.clean_sets, progress.pace_sets) == (0, 0, 0)


def test_a_review_that_was_told_stays_until_the_therapist_ends_it() -> None:
    records = _ready(target_nm=STEPS[3].mean_nm)
    assert fold(prescription(), records, book())[0].status == "review"
    progress = _last(records, _vetoes(records[-1])).progress
    assert (progress.status, progress.ready_sessions) == ("review", 0)


def test_a_stop_stays_a_stop() -> None:
    records = _told(session(days=0, given={"sign": "lump"}, done=()))
    assert fold(prescription(), records, book(), _vetoes(records[0])) == fold(prescription(), records, book())


def test_a_measurement_that_comes_after_the_next_session_leaves_its_load_and_begins_the_streak_anew() -> None:
    """The next session was done with the load that was told; what was measured before it lets nothing rise sooner."""
    records = _ready()
    later = session(days=17, goal=DOSE.repetitions_max, load=4)
    judged = advance(fold(prescription(), records, book())[0], later, book())
    records.append(later.with_entry(Ended(at=later.last_at, how="finished", decision=judged.decision)))
    plain, progress = _last(records, {}).progress, _last(records, _vetoes(records[2])).progress
    assert progress.load == plain.load == STEPS[4]
    assert progress.ready_sessions == plain.ready_sessions == 1
    both = _last(records, _vetoes(records[3])).progress
    assert (both.load, both.ready_sessions) == (STEPS[4], 0)


def test_a_session_without_a_closing_entry_is_held_too() -> None:
    record = session(days=0, goal=10)
    assert advance(initial_progress(prescription()), record, book(), FAULT).decision.rule == "measured_fault"


@pytest.mark.parametrize("seed", range(12))
def test_nothing_is_ever_heavier_for_what_was_measured(seed: int) -> None:
    records, chance = history(seed), Random(seed)
    plain = fold(prescription(), records, book())[0]
    measured = _last(records, _vetoes(*chance.sample(records, 6), records[-1])).progress
    assert plain.load is not None
    assert measured.load is not None
    assert measured.load.mean_nm <= plain.load.mean_nm
    assert measured.load != plain.load or measured.repetitions <= plain.repetitions
    assert (measured.ready_sessions, measured.status) == (0, plain.status)
