"""What reaches a session from outside: a disk that refuses, another program that writes, a computer that sleeps."""

import resource
import shutil
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path

import pytest

from coach.model.record import Answered
from coach.store.client_folder import read_client_folder
from tests.demo.pristine import TREE
from tests.journeys.from_the_wheel import TO_THE_FIRST_SET
from tests.journeys.piped import Piped
from tests.journeys.terminal import Terminal
from tests.journeys.test_in_a_terminal import COACH

TO_THE_SIGNS = (*TO_THE_FIRST_SET[:3], ("1", "Do you have any of these today"))
EMERGENCY, NOT_SAVED = "Call your local emergency number now", "Not all of this session is saved"

Refuse = Callable[[Path, int], None]


def _gone(folder: Path, _: int) -> None:
    """A stick that was pulled out."""
    shutil.rmtree(folder)


def _takes_nothing(_: Path, process: int) -> None:
    """A folder that can be read, and no byte can be added to any file in it."""
    resource.prlimit(process, resource.RLIMIT_FSIZE, (1, resource.RLIM_INFINITY))


REFUSE: Sequence[Refuse] = (_gone, _takes_nothing)
linux = pytest.mark.skipif(not hasattr(resource, "prlimit"), reason="another process can be limited on Linux only")


def _in_a_terminal(folder: Path, *words: str) -> Terminal:
    return Terminal([*COACH, "session", str(folder), "--silent", *words], cwd=TREE)


def _goes(session: Terminal | Piped, way: Sequence[tuple[str, str]]) -> None:
    for key, then in way:
        if isinstance(session, Terminal):
            session.press(key, then)
        else:
            session.types("" if key == "enter" else key, then)


@linux
@pytest.mark.parametrize("refuse", REFUSE)
def test_chest_pain_is_answered_in_lines_where_nothing_can_be_saved(demo_profiles: Path, refuse: Refuse) -> None:
    session = Piped(demo_profiles / "tern")
    session.says("Today")
    _goes(session, TO_THE_SIGNS)
    refuse(demo_profiles / "tern", session.number)
    assert "could not be saved" not in session.types("1", EMERGENCY)
    session.types("q", "End the session here?")
    left = session.types("y", "saved") + session.ends()
    assert NOT_SAVED in left
    assert "is kept" not in left


@linux
@pytest.mark.parametrize("refuse", REFUSE)
def test_chest_pain_is_answered_on_the_screen_where_nothing_can_be_saved(demo_profiles: Path, refuse: Refuse) -> None:
    terminal = _in_a_terminal(demo_profiles / "tern")
    terminal.shows("Today")
    _goes(terminal, TO_THE_SIGNS)
    refuse(demo_profiles / "tern", terminal.child.pid)
    terminal.press("1", EMERGENCY)
    terminal.shows("This is not saved")
    terminal.press("ctrl+c", NOT_SAVED)
    terminal.press("ctrl+c", NOT_SAVED)
    terminal.ends()
    assert "is kept" not in " ".join(terminal.text.split())


@linux
@pytest.mark.parametrize(
    "told",
    [(("1", "Where is it"), ("1", "How much pain is it?"), ("9", "Please confirm")), (("3", "Please confirm"),)],
    ids=["pain", "an unsound band"],
)
@pytest.mark.parametrize("lines", [False, True], ids=["pages", "lines"])
def test_what_is_told_in_a_set_stops_it_where_nothing_can_be_saved(
    demo_profiles: Path, lines: bool, told: Sequence[tuple[str, str]]
) -> None:
    session = Piped(demo_profiles / "tern") if lines else _in_a_terminal(demo_profiles / "tern")
    number = session.number if isinstance(session, Piped) else session.child.pid
    (session.says if isinstance(session, Piped) else session.shows)("Today")
    _goes(session, TO_THE_FIRST_SET)
    _takes_nothing(demo_profiles / "tern", number)
    _goes(session, (("p", "What is it?"), *told, ("y", "We stop here today")))
    if isinstance(session, Piped):
        said = session.ends()
        assert "This is not saved" in said
        assert "Everything is saved" not in said
    else:
        session.shows("This is not saved")
        session.child.close(force=True)


@pytest.mark.parametrize("what", ["older", "cut off"])
def test_another_version_of_the_running_record_takes_no_answer_away(demo_profiles: Path, what: str) -> None:
    """Put there by a program that keeps folders the same, between two answers."""
    folder = demo_profiles / "tern"
    session = Piped(folder)
    session.says("Today")
    _goes(session, TO_THE_SIGNS[:2])
    (record,) = (folder / "records").iterdir()
    older = record.read_bytes()
    _goes(session, TO_THE_SIGNS[2:])
    record.write_bytes(older if what == "older" else record.read_bytes()[:-70])
    session.types("n", "Setup")
    session.types("", "Check before the first repetition")
    session.kill()
    kept = read_client_folder(folder).open_record
    assert kept is not None
    assert [one.value for one in kept.record.entry if isinstance(one, Answered)] == [0, "none", "none"]


class Clock:
    """The time of day and the steady clock of a session in another process."""

    def __init__(self, file: Path, at: datetime) -> None:
        self._file, self._of_day_s, self._steady_s = file, at.timestamp(), 1000.0
        self.moves(0.0)

    def moves(self, of_day_s: float, steady_s: float | None = None) -> Path:
        """Both on by so many seconds, or the steady clock by fewer, as while a computer sleeps."""
        self._of_day_s += of_day_s
        self._steady_s += of_day_s if steady_s is None else steady_s
        new = self._file.with_suffix(".new")
        new.write_text(f"{self._of_day_s} {self._steady_s}")
        return new.replace(self._file)


NOON = datetime(2026, 11, 30, 12, 0, tzinfo=UTC)


@pytest.mark.parametrize("counts", [False, True], ids=["stands still", "counts the sleep"])
def test_a_setup_page_does_not_go_on_after_a_weekend_with_the_lid_closed(
    demo_profiles: Path, tmp_path: Path, counts: bool
) -> None:
    """58 hours later the pain and the warning signs are asked again, whether or not the steady clock went on."""
    clock = Clock(tmp_path / "clock", NOON)
    session = Piped(demo_profiles / "tern", tmp_path / "clock")
    session.says("Today")
    _goes(session, TO_THE_FIRST_SET[:7])
    clock.moves(58 * 3600, None if counts else 0)
    session.types("y", "How much pain is in your shoulder now?")
    session.kill()
    (record,) = read_client_folder(demo_profiles / "tern").records
    checks = [one.step for one in record.entry if isinstance(one, Answered) and one.step.startswith("check.")]
    assert checks == ["check.band_sound"]


def test_a_set_does_not_go_on_after_a_night_with_the_lid_closed(demo_profiles: Path, tmp_path: Path) -> None:
    clock = Clock(tmp_path / "clock", NOON)
    session = Piped(demo_profiles / "tern", tmp_path / "clock")
    session.says("Today")
    _goes(session, TO_THE_FIRST_SET)
    clock.moves(8 * 3600, 0)
    session.says("How much pain is in your shoulder now?")
    session.kill()


@pytest.mark.parametrize(
    "at", [datetime(2026, 10, 25, 0, 55, tzinfo=UTC), datetime(2027, 3, 28, 0, 55, tzinfo=UTC)], ids=["back", "ahead"]
)
def test_a_night_in_which_the_clocks_change(demo_profiles: Path, tmp_path: Path, at: datetime) -> None:
    """02:55 is followed by 02:05, or 01:55 by 03:05: nothing is asked again, refused or out of order."""
    clock, folder = Clock(tmp_path / "clock", at), demo_profiles / "tern"
    session = Piped(folder, tmp_path / "clock")
    session.says("Today")
    _goes(session, TO_THE_FIRST_SET[:7])
    clock.moves(600)
    assert "How much pain" not in session.types("y", "out of the line of the band?")
    session.ends()
    clock.moves(600)
    again = Piped(folder, tmp_path / "clock")
    again.says("Go on where you were?")
    again.kill()
    (record,) = read_client_folder(folder).records
    times = [one.at for one in record.entry]
    assert times == sorted(times)
    assert {one.utcoffset() for one in (times[0], times[-1])} == {
        datetime.fromtimestamp(at.timestamp() + seconds).astimezone().utcoffset() for seconds in (0, 600)
    }


@pytest.mark.parametrize("words", [(), ("--plain",)], ids=["pages", "lines"])
def test_a_key_held_at_the_first_check_answers_no_other(demo_profiles: Path, words: tuple[str, ...]) -> None:
    """Twenty at once: those that are older than a page answer nothing on it."""
    terminal = _in_a_terminal(demo_profiles / "tern", *words)
    terminal.shows("Today")
    for key, then in TO_THE_FIRST_SET[:6]:
        terminal.press(f"{'' if key == 'enter' else key}\n" if words else key, then)
    terminal.child.send(("y\n" if words else "y") * 20)
    terminal.shows("too soon")
    terminal.child.close(force=True)
    (record,) = read_client_folder(demo_profiles / "tern").records
    assert [one.value for one in record.entry if isinstance(one, Answered)].count("yes") <= 1


def test_two_hundred_changes_of_the_window(demo_profiles: Path) -> None:
    terminal = _in_a_terminal(demo_profiles / "tern")
    terminal.shows("Today")
    for number in range(200):
        terminal.child.setwinsize(5 + number * 7 % 50, 10 + number * 13 % 150)
    terminal.child.setwinsize(24, 80)
    terminal.press("ctrl+c", "End the session here?")
    terminal.press("n", "Today")
    terminal.press("enter", "Before you begin")
    terminal.press("ctrl+c", "End the session here?")
    terminal.press("ctrl+c", "kept")
    assert terminal.ends() == 0
