"""The usual level of pain: found in a settled fortnight, and followed only where it settles."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta

import pytest

from coach.model.progress import PainOn
from coach.progression.usual_pain import renewed
from tests.progression.records import book, standing

_FIRST = date(2026, 3, 2)


def followed(pains: Sequence[int], unsettled: Sequence[int] = (), every_days: int = 2) -> list[int | None]:
    """The level after each check-in."""
    before = standing(weeks=0, first_session=datetime.combine(_FIRST, time(), UTC))
    check_ins: list[PainOn] = []
    levels: list[int | None] = []
    for number, pain in enumerate(pains):
        today = _FIRST + timedelta(days=every_days * number)
        check_ins = [one for one in check_ins if (today - one.on).days < 14]
        check_ins.append(PainOn(on=today, pain=pain, settled=number not in unsettled))
        usual, since = renewed(before, check_ins, today, book().limits({}))
        before = before.model_copy(update={"usual_pain": usual, "usual_since": since})
        levels.append(usual)
    return levels


def test_at_first_it_is_the_median_of_what_there_is_and_of_two_the_newer() -> None:
    assert followed([2, 4, 3, 9]) == [2, 4, 3, 4]


def test_one_answer_does_not_move_it() -> None:
    assert set(followed([2] * 8 + [5] + [2] * 8)) == {2}


def test_it_follows_a_level_that_moves_by_one_and_settles() -> None:
    assert followed([2] * 8 + [3] * 14)[-1] == 3
    assert followed([2] * 8 + [0] * 14)[-1] == 0


@pytest.mark.parametrize("level", [4, 5, 9])
def test_it_does_not_follow_a_level_that_jumps_up(level: int) -> None:
    assert followed([2] * 8 + [level] * 30)[-1] == 2


def test_it_is_not_renewed_in_a_fortnight_that_did_not_settle() -> None:
    assert followed([2] * 8 + [3] * 30, unsettled=range(8, 40, 4))[-1] == 2


def test_it_moves_only_where_most_answers_lie_on_one_side() -> None:
    assert set(followed([2] * 8 + [3, 3, 2] * 10)) == {2}
