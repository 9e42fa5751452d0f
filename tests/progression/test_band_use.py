"""How much each band was used since it was measured, from what the records say."""

from datetime import timedelta

import pytest

from coach.model.load_step import LoadStep
from coach.model.record import BandAtHand, LoadChanged, Record, SetDone
from coach.progression.band_use import measured_again, used_since
from coach.progression.state_machine import fold_steps
from tests.progression.records import START, STEPS, book, judge, prescription, rungs, session, standing

MOST = 1.5
GREY = LoadStep(grade="grey", strands=1, distance_cm=80, mean_nm=1.5, peak_nm=2.5)


def _stretched(record: Record, elongation: float | None) -> Record:
    return record.model_copy(update={"rungs": record.rungs.model_copy(update={"elongation": elongation})})


def test_each_repetition_counts_by_the_square_of_its_elongation() -> None:
    record = session(done=[10, 9, 8], end="stopped")
    for elongation, each in ((1.0, 1.0), (0.5, 0.25), (1.2, 1.44), (None, MOST**2)):
        assert used_since({}, _stretched(record, elongation), {}, MOST) == {
            "knotted": pytest.approx(27 * each, abs=0.05)
        }
    assert used_since({"knotted": 100.0, "grey": 3.0}, _stretched(record, 1.0), {}, MOST) == {
        "knotted": 127.0,
        "grey": 3.0,
    }


def test_each_set_counts_for_the_band_in_use() -> None:
    record = _stretched(session(done=[]), 1.0)
    at = record.started

    def done(number: int) -> SetDone:
        return SetDone(at=at, number=number, repetitions=10, under_load_s=80, end="done")

    eased = rungs(2).model_copy(update={"elongation": 0.5})
    grey = rungs(0, (GREY,)).model_copy(update={"elongation": 2.0})
    record = record.model_copy(
        update={
            "entry": (
                done(1),
                LoadChanged(at=at, rule="unclean", rungs=eased),
                done(2),
                BandAtHand(at=at, rungs=grey),
                done(3),
            )
        }
    )
    assert used_since({}, record, {}, MOST) == {"knotted": 10 + 2.5, "grey": 40.0}


@pytest.mark.parametrize(("days", "counts"), [(-1, True), (0, True), (1, False)])
def test_a_band_measured_after_the_session_is_not_aged_by_it(days: int, counts: bool) -> None:
    record = _stretched(session(done=[10]), 1.0)
    measured_on = {"knotted": START.date() + timedelta(days=days)}
    assert used_since({}, record, measured_on, MOST) == ({"knotted": 10.0} if counts else {})


def test_a_session_adds_to_the_use_of_its_band_and_a_new_measurement_begins_it_again() -> None:
    record = _stretched(session(), 1.0)
    assert judge(record).after.band_use == {"knotted": 30.0}
    records = [_stretched(session(days=2 * number), 1.0) for number in range(3)]
    again = {"knotted": START.date() + timedelta(days=4)}
    for measured_on, repetitions in ((None, 90.0), (again, 30.0)):
        *_, last = fold_steps(prescription(), records, book(), measured_on)
        assert last.progress.band_use == {"knotted": repetitions}
        assert last.progress.load is not None
        assert last.progress.load.grade == STEPS[0].grade


def test_a_progress_that_was_kept_forgets_the_use_of_bands_measured_since() -> None:
    """Where a record is damaged, the progress kept before it is gone on from."""
    day = START.date()
    kept = standing(days_ago=0, band_use={"knotted": 90.0, "grey": 5.0, "striped": 7.0}, measured_on={"knotted": day})
    again = {"knotted": day + timedelta(days=1), "grey": day - timedelta(days=30)}
    after = measured_again(kept, again)
    assert after.band_use == {"grey": 5.0, "striped": 7.0}
    assert after.measured_on == again
