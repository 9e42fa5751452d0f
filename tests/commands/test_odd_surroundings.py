"""An 8-bit locale, an exported COLUMNS, and file systems without folder flush or locks."""

import errno
import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from coach import cli
from coach.commands.support.output import BROKEN, FAULTS, FINE, NOT_NOW, adapt_output
from coach.model.answers_file import Answers
from coach.overview.history_chart import MARKS
from coach.screens.start import DisplayMode
from coach.store.client_folder import read_client_folder
from coach.store.client_store import ClientStore
from coach.store.lock import InUse, lock
from coach.system import this_process
from coach.toml.diagnostic import FileFault, whole_file
from coach.toml.new_file import write_new
from tests.demo.pristine import TREE
from tests.journeys.terminal import Terminal
from tests.plans import shipped
from tests.screens.plain.output_lines import run_with_answers


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp1252", "latin-1:backslashreplace"])
def test_drawings_in_an_encoding_of_eight_bits(demo_profiles: Path, encoding: str) -> None:
    """No escapes and no failure; lines and blocks as signs of ASCII, one for each."""
    environment = {**os.environ, "PYTHONIOENCODING": encoding}
    command = [sys.executable, "-m", "coach"]
    for words in (["history", str(demo_profiles / "plover"), "--pictures"], ["setup", str(demo_profiles / "tern")]):
        done = subprocess.run([*command, *words], cwd=TREE, env=environment, capture_output=True, check=False)
        assert (done.returncode, done.stderr) == (0, b"")
        assert b"\\u" not in done.stdout
        utf8 = {**environment, "PYTHONIOENCODING": "utf-8"}
        wide = subprocess.run([*command, *words], cwd=TREE, env=utf8, capture_output=True, check=True)
        there = done.stdout.decode(encoding.partition(":")[0])
        assert list(map(len, there.splitlines())) == list(map(len, wide.stdout.decode().splitlines()))


@pytest.mark.parametrize("encoding", ["ascii", "cp1252"])
def test_marks_of_a_plot_differ_in_an_encoding_of_eight_bits(monkeypatch: pytest.MonkeyPatch, encoding: str) -> None:
    printed = io.BytesIO()
    for name in ("stdout", "stderr"):
        monkeypatch.setattr(sys, name, io.TextIOWrapper(printed, encoding=encoding, write_through=True))
    adapt_output()
    marks = "".join(mark for pair in MARKS for mark in pair if not mark.isascii())
    sys.stdout.write(marks)
    signs = printed.getvalue().decode("ascii")
    assert len(set(signs)) == len(marks) > 0
    assert not {*signs} & {*"?#+-.|"}, "unknown signs, lines and blocks"


@pytest.mark.parametrize(("command", "language"), [("preview", "de"), ("setup", "de"), ("check", "Łódź")])
def test_json_is_the_same_in_an_encoding_of_eight_bits(command: str, language: str, demo_profiles: Path) -> None:
    """Other programs read it as UTF-8, whatever this one writes to a pipe."""
    profile = demo_profiles / "tern" / "profile.toml"
    text = profile.read_text(encoding="utf-8").replace('language = "en"', f'language = "{language}"')
    profile.write_text(text, encoding="utf-8")
    said = []
    for encoding in ("utf-8", "cp1252", "ascii"):
        environment = {**os.environ, "PYTHONIOENCODING": encoding}
        line = [sys.executable, "-m", "coach", command, str(profile.parent), "--json"]
        said.append(json.loads(subprocess.run(line, cwd=TREE, env=environment, capture_output=True).stdout))
    assert said[0]
    assert said == [said[0]] * 3


def test_an_exported_width_leaves_no_blank_screen(demo_profiles: Path) -> None:
    command = [sys.executable, "-m", "coach", "session", str(demo_profiles / "tern"), "--silent"]
    terminal = Terminal(command, TREE, env={"COLUMNS": "5", "LINES": "2"})
    terminal.shows("Today")
    terminal.press("enter", "Before you begin")
    terminal.press("ctrl+c", "End the session here?")
    terminal.press("ctrl+c", "kept")


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("TEXTUAL_DRIVER", "nonsense"),
        ("TEXTUAL_DRIVER", "coach.cli:main"),
        ("TEXTUAL_DRIVER", ""),
        ("TEXTUAL_COLOR_SYSTEM", "nonsense"),
        ("TEXTUAL_FILTERS", "nonsense"),
        ("TEXTUAL_THEME", "nonsense"),
        ("TEXTUAL_LOG", "/nowhere/log"),
        ("TEXTUAL_FPS", "0"),
        ("TEXTUAL_ANIMATIONS", "nonsense"),
        ("TEXTUAL_DIM_FACTOR", "9999"),
        ("TEXTUAL_PRESS", "enter,enter,enter"),
        ("TEXTUAL_SCREENSHOT", "0"),
        ("ESCDELAY", "nonsense"),
    ],
)
def test_variables_of_the_library_neither_end_nor_answer_a_session(
    demo_profiles: Path, tmp_path: Path, name: str, value: str
) -> None:
    command = [sys.executable, "-m", "coach", "session", str(demo_profiles / "tern"), "--silent"]
    terminal = Terminal(command, TREE, env={name: value, "TEXTUAL_SCREENSHOT_LOCATION": str(tmp_path)})
    terminal.shows("Today")
    terminal.press("enter", "Before you begin")
    assert not list(tmp_path.glob("*.svg"))
    terminal.press("ctrl+c", "End the session here?")
    terminal.press("ctrl+c", "kept")


def test_a_file_system_that_flushes_no_folder(demo_profiles: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = os.fsync

    def of_files_only(handle: int) -> None:
        if os.path.isdir(f"/proc/self/fd/{handle}"):  # noqa: PTH112  # the file behind the handle
            raise OSError(errno.EINVAL, os.strerror(errno.EINVAL))
        real(handle)

    monkeypatch.setattr(os, "fsync", of_files_only)
    assert run_with_answers(demo_profiles / "tern", Answers(), lambda _: None)
    assert read_client_folder(demo_profiles / "tern").records[-1].ended is not None


@pytest.mark.parametrize("number", [errno.ENOLCK, errno.EOPNOTSUPP, errno.ENOSYS])
def test_a_file_system_without_locks_still_keeps_two_sessions_apart(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    import fcntl

    def none(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(fcntl, "flock", none)
    client = demo_profiles / "tern"
    with ClientStore.locked(client, shipped()), pytest.raises(InUse):
        lock(client)
    lock(client).release()


def test_a_way_with_locks_and_one_without_see_each_other(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of one folder: whoever comes second is refused, whichever way they take. What a killed one left is no lock."""
    import fcntl

    def none(*_: object) -> None:
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))

    client = demo_profiles / "tern"
    with lock(client), monkeypatch.context() as without:
        without.setattr(fcntl, "flock", none)
        with pytest.raises(InUse, match=r"if none is open on any computer, remove .*/\.lock$"):
            lock(client)
    with monkeypatch.context() as without:
        without.setattr(fcntl, "flock", none)
        held = lock(client)
    with pytest.raises(InUse, match=r"remove .*/\.in_use\.lock$"):
        lock(client)
    held.release()
    killed = subprocess.Popen(["true"])
    killed.wait()
    (client / ".lock").write_text(this_process().replace(f"{os.getpid()} ", f"{killed.pid} "), encoding="utf-8")
    monkeypatch.setattr(fcntl, "flock", none)
    lock(client).release()


_BUSY = """
import sys, threading
import coach.cli

def works_on(typed):
    threading.Thread(target=threading.Event().wait).start()
    print("Kept.")
    raise KeyboardInterrupt

coach.cli._run_line = works_on
sys.exit(coach.cli.main())
"""


def test_ctrl_c_ends_it_while_a_thread_is_busy() -> None:
    """A page that is closed while its report is made; Python itself would wait for the thread."""
    done = subprocess.run(
        [sys.executable, "-c", _BUSY], cwd=TREE, stdout=subprocess.PIPE, check=False, timeout=20, text=True
    )
    assert (done.returncode, done.stdout) == (130, "Kept.\n")


@pytest.mark.parametrize(
    ("error", "code", "said"),
    [
        (EOFError(), NOT_NOW, "The input ended before an answer: what was not confirmed is not kept.\n"),
        (
            PermissionError(13, "Permission denied", "/shut/tern"),
            FAULTS,
            "/shut/tern: this cannot be read or written",
        ),
        (OSError(28, "No space left on device"), FAULTS, "here: this cannot be read or written: no space left"),
        (
            OSError(errno.EINVAL, "Invalid argument", "E:/a?b.zip"),
            FAULTS,
            "E:/a?b.zip: this cannot be read or written: invalid argument\n  expected: a name that the disk takes",
        ),
        (OSError(errno.EINVAL, "Invalid argument"), BROKEN, "A fault in the program itself"),
    ],
)
def test_what_the_surroundings_do_is_no_fault_of_the_program(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], error: Exception, code: int, said: str
) -> None:
    """An input that ends at a question; a folder in one that belongs to somebody else."""

    def fails() -> int:
        raise error

    monkeypatch.setattr(cli, "_open_front_door", fails)
    assert cli.main([]) == code
    assert capsys.readouterr().err.startswith(said)


@pytest.mark.parametrize("command", ["check", "session", "caseload", "where", "begin"])
def test_a_name_that_is_too_long_is_no_fault_of_the_program(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As one with a sign that the disk takes in no name; from Python 3.13 on `begin` sees no folder there."""
    assert cli.main([command, str(tmp_path / ("a" * 300))]) == FAULTS
    is_seen = command != "begin" or sys.version_info < (3, 13)
    assert ("to do: give it another name: shorter" in capsys.readouterr().err) == is_seen


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="Linux alone has a device that is always full")
def test_a_help_that_cannot_be_printed_is_no_traceback(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        monkeypatch.setattr(sys, "stdout", full)
        assert cli.main(["--help"]) == FAULTS
        monkeypatch.undo()
        with pytest.raises(OSError, match="No space left"):
            full.flush()
        os.dup2(os.open(os.devnull, os.O_WRONLY), full.fileno())
    assert "no space left on device" in capsys.readouterr().err


def test_a_closed_standard_error_is_no_fault(demo_profiles: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stderr", None)
    assert cli.main(["check", str(demo_profiles / "tern")]) == FINE


def test_a_session_that_cannot_begin_says_what_to_do(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def full(*_: object) -> Path:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("coach.screens.start.choose_display", lambda *_: DisplayMode(True))
    monkeypatch.setattr("coach.store.records.record_file.create", full)
    assert cli.main(["session", str(demo_profiles / "tern"), "--plain"]) == FAULTS
    told = capsys.readouterr().err
    assert "tern could not be written: no space left on device" in told
    assert "to do: make room on the disk" in told


def test_what_was_signed_is_not_called_unsigned_where_the_disk_is_full_after_it(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The instruction is in prescription.toml; that the folder could not be moved to format 2 is for later."""
    client, done = demo_profiles / "tern", []

    def full(path: Path) -> bool:
        done.append(path)
        raise FileFault([whole_file(path, "it cannot be written: no space left on device")])

    monkeypatch.setattr("coach.store.therapist.steering.upgrade", full)
    words = ["steer", str(client), "freeze_load", "--initials", "KB", "--reason", "sore", "--yes"]
    assert cli.main(words) == FINE
    assert done == [client]
    assert "Signed by KB" in capsys.readouterr().out
    assert [one.what for one in read_client_folder(client).signed] == ["freeze_load"]


def test_a_full_disk_is_answered_with_room_to_be_made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> int:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "open", full)
    with pytest.raises(FileFault) as raised:
        write_new(tmp_path / "one.toml", b"")
    assert "make room" in raised.value.faults[0].fix
