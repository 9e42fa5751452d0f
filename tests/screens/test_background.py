"""Work beside other work: its result and its error arrive where they are asked for."""

import threading

import pytest

from coach.screens.background import begun


def test_the_work_goes_on_beside_what_follows() -> None:
    may_end = threading.Event()
    result = begun(lambda: (threading.current_thread(), may_end.wait(60)))
    may_end.set()  # never reached if the work were done first
    thread, ended = result()
    assert thread is not threading.current_thread()
    assert ended
    assert result() == (thread, ended)


def test_its_error_is_raised_where_the_result_is_asked_for() -> None:
    def work() -> None:
        raise OSError("the disk is full")

    result = begun(work)
    with pytest.raises(OSError, match="the disk is full"):
        result()
