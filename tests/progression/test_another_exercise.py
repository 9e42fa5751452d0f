"""A client is given another exercise: its load and streaks begin from the start, pain and a review go on."""

from coach.model.prescription import Prescription
from coach.model.record import Record
from coach.progression.state_machine import fold
from tests.progression.records import DOSE, book, prescription, session

NOW: Prescription = prescription(positions=("0",)).model_copy(update={"exercise": "internal_rotation"})
BEFORE = [session(days=day, goal=15, load=4, given={"pain_now": 2}) for day in (0, 2)]


def _turned_in(days: float, shoulder: str = "no", done: tuple[int, ...] = (8, 8, 8)) -> Record:
    """The same session as one of internal rotation: it asks for the shoulder where the other asks for the blade."""
    given = {"set_1.shoulder": shoulder, "set_2.shoulder": "no", "set_3.shoulder": "no"}
    given |= {f"set_{number}.trunk": "no" for number in (1, 2, 3)}
    record = session(days=days, goal=DOSE.repetitions_min, load=1, given=dict(given), positions=("0",), done=done)
    return record.model_copy(update={"exercise": "internal_rotation"})


def test_the_load_begins_anew_and_the_pain_is_remembered() -> None:
    progress, judged = fold(NOW, BEFORE, book())
    assert [one.decision.load.mean_nm for one in judged] == [record.rungs.step.mean_nm for record in BEFORE]
    assert (progress.exercise, progress.position) == ("internal_rotation", "0")
    assert (progress.load, progress.repetitions, progress.ready_sessions) == (None, DOSE.repetitions_min, 0)
    assert (progress.sessions, len(progress.pains)) == (2, 2)


def test_its_own_sessions_move_it() -> None:
    progress, judged = fold(NOW, [*BEFORE, _turned_in(4)], book())
    assert judged[-1].decision.rule == "repetitions_up"
    assert progress.load == _turned_in(4).rungs.step
    assert progress.repetitions > DOSE.repetitions_min
    _, judged = fold(NOW, [*BEFORE, _turned_in(4, shoulder="yes")], book())
    assert (judged[-1].decision.rule, judged[-1].decision.numbers["faults"]) == ("unclean", 1)


def test_a_warning_sign_in_the_other_exercise_stays_in_review() -> None:
    stopped = session(days=4, given={"sign": "numb_or_weak"}, done=())
    progress, _ = fold(NOW, [*BEFORE, stopped], book())
    assert (progress.status, progress.exercise, progress.load) == ("review", "internal_rotation", None)


def test_a_streak_of_one_exercise_is_none_of_the_other() -> None:
    """Two sessions below the bottom of the range, and one of the other exercise: not three in a row."""
    weak = [_turned_in(day, done=(5, 5, 5)) for day in (0, 2)]
    _, judged = fold(NOW, [*weak, session(days=4, done=(5, 5, 5))], book())
    assert judged[-1].decision.rule == "unclean"
    _, judged = fold(NOW, [*weak, _turned_in(4, done=(5, 5, 5))], book())
    assert judged[-1].decision.rule == "under_performed"
