"""Work in a thread: its result and its error arrive where they are asked for, and none is left to itself."""

import threading
from pathlib import Path

import pytest

from coach.screens import start
from coach.screens.background import in_thread
from coach.screens.start import DisplayMode, run_session
from coach.store.client_paths import RECORDS
from coach.store.client_store import ClientStore
from coach.store.clock import now
from coach.store.live_session import open_session


def test_the_work_goes_on_beside_what_follows() -> None:
    may_end = threading.Event()
    with in_thread(lambda: (threading.current_thread(), may_end.wait(60))) as result:
        may_end.set()  # never reached if the work were done first
        thread, ended = result()
    assert thread is not threading.current_thread()
    assert ended
    assert result() == (thread, ended)


def test_its_error_is_raised_where_the_result_is_asked_for() -> None:
    def work() -> None:
        raise OSError("the disk is full")

    with in_thread(work) as result, pytest.raises(OSError, match="the disk is full"):
        result()


@pytest.mark.parametrize("error", [KeyboardInterrupt, ImportError])
def test_the_work_has_ended_when_the_body_is_left(error: type[BaseException]) -> None:
    may_end, done = threading.Event(), threading.Event()

    def work() -> None:
        may_end.wait(60)
        done.set()

    def leaves() -> None:
        with in_thread(work):
            threading.Timer(0, may_end.set).start()
            raise error

    with pytest.raises(error):
        leaves()
    assert done.is_set()


@pytest.mark.parametrize("error", [KeyboardInterrupt, ImportError])
def test_a_session_whose_screens_never_came_leaves_no_record(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch, error: type[BaseException]
) -> None:
    """Ctrl-C, or a broken installation, while they are loaded."""

    def fails() -> None:
        raise error

    monkeypatch.setattr(start, "import_textual", fails)
    with ClientStore.locked(demo_profiles / "tern") as store:
        opening = open_session(store, now())
        with pytest.raises(error):
            run_session(store.content, opening, DisplayMode(plain=False))
    assert list((demo_profiles / "tern" / RECORDS).iterdir()) == []
