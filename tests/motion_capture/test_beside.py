"""A measured set beside what was asked and answered, and beside the sets of a session. Pure."""

import re
from datetime import datetime, timedelta

import pytest

from coach.commands.support.loading import client_store
from coach.content_files.content_folder import content_folder, load_content
from coach.model.measured.measured_set import MeasuredSet, MeasuredValue, TimedRepetition
from coach.model.measured.tempo_kept import at_tempo, differences, measured_faults, off_tempo, range_lost_deg, timed
from coach.model.prescription import Tempo
from coach.model.record import SetDone
from coach.motion_capture.results import Asked
from coach.overview.measured_sets import measured_lines
from coach.overview.measured_sets.measured_lines import SetBeside
from coach.overview.measured_sets.set_matching import match_from, matches, sets_of
from coach.progression.state_machine import JudgedRecord
from coach.session.lessons.measured_told import set_sentence
from tests.demo.pristine import DEMO

TEMPO = Tempo(out_s=3, hold_s=2, back_s=3, relax_s=2)
LIMITS = {
    "measured_tempo_within": 0.33,
    "measured_off_tempo": 0.5,
    "measured_range_lost_deg": 10.0,
    "measured_elbow_drift_deg": 7.0,
}
APART_S = 20.0
RANGE, ELBOW, TIME = "end_range_lost", "elbow_drifted", "tempo_rushed"


def _repetition(out: float, back: float, deg: float = 80.0) -> TimedRepetition:
    return TimedRepetition(
        began_s=0.0,
        out_s=_value(out),
        hold_s=_value(2.0),
        back_s=_value(back),
        range_deg=MeasuredValue(value=deg, u=1.0),
    )


def _value(value: float) -> MeasuredValue:
    return MeasuredValue(value=value, u=0.1)


def _set(*repetitions: TimedRepetition, whole: float | None = 80.0, drift: float | None = 0.0) -> MeasuredSet:
    return MeasuredSet(
        format=1, record="r.toml", set=1, kept=datetime(2026, 11, 28).astimezone(), exercise="external_rotation",
        position="0", table="t.csv", sha256="0" * 64, columns=("c",) * 7, units=("s", "g", "deg/s"), rate_hz=100.0,
        count=len(repetitions), repetition=repetitions,
        unloaded_range_deg=MeasuredValue(value=whole, u=1.0) if whole is not None else None,
        elbow_drift_deg=MeasuredValue(value=drift, u=1.0) if drift is not None else None,
    )  # fmt: skip


@pytest.mark.parametrize(("out", "back", "at"), [
    (3.0, 3.0, 1), (2.02, 3.98, 1), (2.0, 3.0, 0), (3.0, 4.0, 0), (3.0, 1.0, 0),
])  # fmt: skip
def test_a_repetition_is_at_tempo_within_a_third_of_both_ways(out: float, back: float, at: int) -> None:
    assert at_tempo(_set(_repetition(out, back)), TEMPO, LIMITS) == at


def test_a_set_whose_ways_are_not_known_is_not_counted_as_off_the_tempo() -> None:
    unknown = _set().model_copy(update={"count": 8})
    assert (timed(unknown), timed(_set(_repetition(1, 1)))) == (0, 1)
    assert measured_faults(unknown, TEMPO, LIMITS) == ()


def test_a_way_back_that_is_not_known_is_not_at_tempo() -> None:
    last = _repetition(3, 3).model_copy(update={"back_s": None})
    assert at_tempo(_set(_repetition(3, 3), last), TEMPO, LIMITS) == 1


def test_the_client_is_told_the_way_that_is_furthest_off() -> None:
    off = off_tempo(_set(_repetition(2.5, 1.0), _repetition(2.5, 1.2), _repetition(3.0, 3.0)), TEMPO, LIMITS)
    assert off is not None
    assert (off.way, off.took_s, off.asked_s) == ("back", 1.2, 3.0)


def test_nothing_is_told_where_most_were_at_tempo() -> None:
    assert off_tempo(_set(_repetition(3, 3), _repetition(3, 3), _repetition(3, 1)), TEMPO, LIMITS) is None


def test_the_range_lost_needs_the_repetition_without_the_band() -> None:
    lost = range_lost_deg(_set(_repetition(3, 3, 68), _repetition(3, 3, 64)))
    assert lost is not None
    assert lost.value == 14.0
    assert lost.u == pytest.approx(2**0.5)
    assert range_lost_deg(_set(_repetition(3, 3), whole=None)) is None


@pytest.mark.parametrize(("back", "faults", "found"), [
    (1.0, (), ("tempo_rushed",)), (1.0, (TIME,), ()), (3.0, (TIME,), ("tempo_unhurried",)), (6.0, (), ()),
])  # fmt: skip
def test_an_answer_about_rushing_is_beside_the_tempo(
    back: float, faults: tuple[str, ...], found: tuple[str, ...]
) -> None:
    assert differences(_set(_repetition(3, back)), 1, faults, (TIME,), TEMPO, LIMITS) == found


@pytest.mark.parametrize(("deg", "drift", "back", "faults"), [
    (80, 0, 3, ()),
    (60, 0, 3, ("range_lost",)),
    (69, 0, 3, ()),  # within the uncertainty of the limit
    (80, 12, 3, ("elbow_moved",)),
    (80, 8, 3, ()),
    (80, 0, 1, ("off_tempo",)),
    (60, 12, 1, ("range_lost", "elbow_moved", "off_tempo")),
])  # fmt: skip
def test_a_measured_fault_is_beyond_its_limit_and_its_uncertainty(
    deg: float, drift: float, back: float, faults: tuple[str, ...]
) -> None:
    assert measured_faults(_set(_repetition(3, back, deg), drift=drift), TEMPO, LIMITS) == faults


def test_an_empty_set_has_no_fault() -> None:
    assert measured_faults(_set(), TEMPO, LIMITS) == ()


@pytest.mark.parametrize(("deg", "drift", "faults", "found"), [
    (80, 0, (), ()),
    (60, 0, (), ("range_lost",)),
    (69, 0, (), ()),  # 11 degrees lost, within the uncertainty of the limit
    (60, 0, (RANGE,), ()),
    (80, 0, (RANGE,), ("range_kept",)),
    (80, 12, (), ("elbow_moved",)),
    (80, 12, (ELBOW,), ()),
    (80, 1, (ELBOW,), ("elbow_still",)),
    (80, 8, (ELBOW,), ()),
])  # fmt: skip
def test_answers_differ_only_beyond_the_uncertainty(
    deg: float, drift: float, faults: tuple[str, ...], found: tuple[str, ...]
) -> None:
    one = _set(_repetition(3, 3, deg), drift=drift)
    assert differences(one, 1, faults, (RANGE, ELBOW), TEMPO, LIMITS) == found


def test_what_was_not_asked_does_not_differ() -> None:
    assert differences(_set(_repetition(3, 3, 50), drift=20), 1, (), (), TEMPO, LIMITS) == ()


@pytest.mark.parametrize(
    ("recorded", "cut_off", "found"), [(2, False, ()), (3, False, ("count",)), (3, True, ()), (4, True, ("count",))]
)
def test_a_count_may_be_one_off_where_the_table_is_cut_off(
    recorded: int, cut_off: bool, found: tuple[str, ...]
) -> None:
    one = _set(_repetition(3, 3), _repetition(3, 3)).model_copy(update={"cut_off": cut_off})
    assert differences(one, recorded, (), (), TEMPO, LIMITS) == found


def _done(*after_s: float) -> tuple[SetDone, ...]:
    start = datetime(2026, 11, 28, 18).astimezone()
    return tuple(
        SetDone(at=start + timedelta(seconds=one), number=number, repetitions=8, under_load_s=60.0, end="done")
        for number, one in enumerate(after_s, 1)
    )


@pytest.mark.parametrize(("ended", "done", "numbers"), [
    ((80, 230, 390), (100, 250, 400), [(1, 2, 3)]),
    ((5, 500), (100, 250, 740), [(2, 3)]),
    ((80, 230), (100, 250, 400), [(1, 2), (2, 3)]),  # equal pauses leave it open by one
    ((80,), (100, 250), [(1,), (2,)]),
    ((80,), (100,), [(1,)]),
    ((1, 2, 3), (100, 250), []),
    ((), (100,), []),
])  # fmt: skip
def test_sets_are_told_by_number_or_by_the_times_between_them(
    ended: tuple[float, ...], done: tuple[float, ...], numbers: list[tuple[int, ...]]
) -> None:
    assert [one.numbers for one in matches(ended, _done(*done), APART_S)] == numbers


def test_a_limit_says_which_times_are_the_same_and_which_pause_is_still_inside_a_set() -> None:
    assert [one.numbers for one in matches((80, 230), _done(100, 262, 400), 20)] == [(1, 2), (2, 3)]
    assert matches((80, 230), _done(100, 262, 400), 5) == ()
    limits = {"measured_pause_least_s": 2.0, "measured_pause_most_s": 6.0}
    pauses = [Asked(3, 2, 3, 2, rest_s, None, 0.0, limits).longest_pause_s for rest_s in (3.0, 10.0, 60.0)]
    assert pauses == [4.0, 6.0, 8.0]


def test_the_time_of_day_tells_equal_sets_apart_where_the_clocks_agree() -> None:
    done, start = _done(100, 250, 400), datetime(2026, 11, 28, 18).astimezone().timestamp()
    first, second = matches((80, 230), done, APART_S)
    assert (first.began_s - start, second.began_s - start) == (20, 170)
    assert matches((80, 230), done, APART_S, start + 165) == (second,)
    assert matches((80, 230), done, APART_S, start + 90) == (first, second)  # clocks apart: still open
    assert matches((80, 230, 380), done, APART_S, start + 9000)[0].numbers == (1, 2, 3)


@pytest.mark.parametrize(("ended", "began_at", "there"), [
    ((80, 230, 380), None, range(3)),  # all of the session
    ((80, 230, 380), 150.0, range(3)),  # also by a clock that is off by as much as one set
    ((80, 230, 380, 2980, 3130), None, range(3)),  # and the next session
    ((80, 2680, 2830), None, range(1)),  # from its last set on
    ((10, 300, 450, 600), None, range(1, 4)),  # and a set of nobody known
    ((40, 940, 1090, 1240), -840.0, range(1, 4)),  # by the time of day: another set, a quarter of an hour before
    ((40, 1000), -750.0, range(1, 2)),
    ((10, 160, 310, 460), None, None),  # four equal ones, and the session has three
])  # fmt: skip
def test_a_table_may_span_two_sessions(ended: tuple[float, ...], began_at: float | None, there: range | None) -> None:
    done, later = _done(100, 250, 400), _done(3000, 3150)
    start = datetime(2026, 11, 28, 18).astimezone().timestamp()
    assert sets_of(ended, done, (*done, *later), APART_S, None if began_at is None else start + began_at) == there


def test_the_first_set_as_it_was_told() -> None:
    done = _done(100, 250, 400)
    chosen = match_from((80, 230), done, 2)
    assert chosen is not None
    assert chosen.numbers == (2, 3)
    assert match_from((80, 230), done, 3) is None
    assert match_from((80,), done, 4) is None


@pytest.mark.parametrize(("language", "tenth"), [("en", "0.2"), ("de", "0,2")])
def test_a_value_that_differs_from_an_answer_is_told_with_its_spread(
    monkeypatch: pytest.MonkeyPatch, language: str, tenth: str
) -> None:
    """Nine times in ten: 1.645 standard uncertainties, of a difference of two ranges those of both."""
    every = ("count", "range_lost", "range_kept", "elbow_moved", "elbow_still", "tempo_rushed", "tempo_unhurried")
    monkeypatch.setattr(measured_lines, "set_differences", lambda *_: every)
    judged = client_store(DEMO / "heron").sessions[-1]
    one = _set(*[_repetition(1, 1, 60)] * 6, drift=20.0)
    lines = list(SetBeside(one, judged, load_content(content_folder(), language)).differences())
    spreads = [re.findall(r"\(±(.*?)\)", line) for line in lines]
    assert spreads == [[], ["2"], ["2"], ["2"], ["2"], [tenth], []]
    assert re.findall(r"±(.*?)\)", client_line(one, judged, language)) == [tenth]


def client_line(one: MeasuredSet, judged: JudgedRecord, language: str) -> str:
    return set_sentence(one, judged.record, load_content(content_folder(), language))
