"""Which of two measured tilts of the upper arm counts."""

from datetime import UTC, datetime

from coach.model.measured.measured_set import MeasuredSet, MeasuredValue
from coach.model.measured.tempo_kept import measured_faults
from coach.model.prescription import Tempo
from tests.plans import shipped


def test_a_tilt_that_is_surely_beyond_the_limit_is_not_hidden_by_a_larger_one_that_is_hardly_known() -> None:
    limits = shipped().limit_values({})
    sure = limits["measured_elbow_drift_deg"] + 1
    one = MeasuredSet(
        format=1, record="2026-11-20T181000.toml", set=1, kept=datetime(2026, 11, 21, tzinfo=UTC),
        exercise="external_rotation", position="45", table="t.csv", sha256="0" * 64, columns=("c",) * 7,
        units=("s", "g", "deg/s"), rate_hz=50.0, count=12,
        elbow_drift_deg=MeasuredValue(value=sure + 1, u=5), elbow_within_deg=MeasuredValue(value=sure, u=0.1),
    )  # fmt: skip
    assert measured_faults(one, Tempo(out_s=3, hold_s=2, back_s=3, relax_s=2), limits) == ("elbow_moved",)
