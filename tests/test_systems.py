"""What differs by system is in one module; a system without the calls of POSIX still keeps a record line by line."""

import ast
import errno
import io
import os
import re
import select
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from coach import system
from coach.cli import main
from coach.screens.plain.line_input import EndOfInput, KeyboardInput
from coach.store.client_store import ClientStore
from coach.store.plan_file import read_plan
from coach.store.therapist.visit_draft import DRAFT, forget_draft
from coach.system import each_file
from coach.toml.atomic_write import replace_bytes
from coach.toml.new_file import new_file, new_folder
from coach.toml.user_cache import cache_folder
from tests.demo.pristine import TREE

if TYPE_CHECKING:
    from _typeshed import ReadableBuffer as Buffer

# Modules that Windows does not have, or that only Windows has.
ONLY_SOME = {
    *("fcntl", "termios", "tty", "pty", "resource", "pwd", "grp", "select", "curses", "readline", "posix", "syslog"),
    *("msvcrt", "winreg", "ctypes", "multiprocessing"),
}
# Names in `os`, `sys`, `signal` and `time` that not every system has, or that say which system it is.
ONLY_SOME_NAMES = {
    *("fork", "getuid", "geteuid", "getgid", "getpgid", "setsid", "killpg", "sync", "fchmod", "chown", "mkfifo"),
    *("posix_spawn", "O_NOFOLLOW", "O_NONBLOCK", "O_DIRECTORY", "statvfs", "sysconf", "nice", "openpty", "st_uid"),
    *("SIGHUP", "SIGALRM", "SIGTSTP", "SIGWINCH", "SIGPIPE", "SIGKILL", "SIGUSR1", "SIGQUIT", "SIGCONT", "alarm"),
    *("clock_gettime", "CLOCK_BOOTTIME", "add_signal_handler", "platform"),
}
OF_OS = {"name", "open"}  # `open_bytes` in the place of the latter
_MAYBE = re.compile("|".join(ONLY_SOME | ONLY_SOME_NAMES | {r"os\.name", r"os\.open"}))


def _used(path: Path) -> Iterator[str]:
    text = path.read_text(encoding="utf-8")
    tree = ast.parse(text if _MAYBE.search(text) else "")
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (one.name.partition(".")[0] for one in node.names if one.name.partition(".")[0] in ONLY_SOME)
        elif isinstance(node, ast.ImportFrom) and node.module is not None:
            yield from (part for part in [node.module.partition(".")[0]] if part in ONLY_SOME)
        elif isinstance(node, ast.Attribute) and node.attr in ONLY_SOME_NAMES:
            yield node.attr
        elif isinstance(node, ast.Constant) and node.value in ONLY_SOME_NAMES:
            yield str(node.value)
        elif isinstance(node, ast.Attribute) and getattr(node.value, "id", "") == "os" and node.attr in OF_OS:
            yield f"os.{node.attr}"


def test_what_only_some_systems_have_is_in_one_module() -> None:
    found = {
        (str(path.relative_to(TREE / "coach")), name)
        for path in (TREE / "coach").rglob("*.py")
        if path != TREE / "coach" / "system.py"
        for name in _used(path)
    }
    assert found == set()
    assert set(_used(Path(system.__file__))) > {"select", "fork", "SIGHUP"}


def test_no_file_is_written_with_the_line_ends_of_the_system() -> None:
    """What is compared, hashed or packed has the same bytes on each."""
    calls = [
        (str(path.relative_to(TREE / "coach")), ast.unparse(node))
        for path in (TREE / "coach").rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and re.search(r"\b(write_text|open|fdopen)$", ast.unparse(node.func))
    ]
    assert len(calls) > 5
    as_text = re.compile(r"write_text|['\"][wxa]t?['\"]")
    assert [one for one in calls if as_text.search(one[1]) and "newline=" not in one[1]] == []


# Taken away before anything else is imported: modules, names of `os`, and what says which system this is.
_ELSEWHERE = """
import os, sys

class Gone:
    def find_spec(self, name, path=None, target=None):
        if name in ("fcntl", "termios", "tty", "pty", "resource", "pwd", "grp", "curses", "readline", "syslog"):
            raise ModuleNotFoundError(name)

sys.meta_path.insert(0, Gone())
for name in ("getuid", "sync", "O_NOFOLLOW", "O_NONBLOCK", "posix_spawn"):
    delattr(os, name)
# Windows writes two bytes for a line end, and ends a file at a byte 26, unless it is told not to.
os.O_BINARY = 1 << 29
as_here = os.open

def open_there(path, flags, *mode):
    if not flags & os.O_BINARY and sys._getframe(1).f_globals["__name__"].startswith("coach"):
        raise AssertionError(f"{path} is opened as text")
    return as_here(path, flags & ~os.O_BINARY, *mode)

os.open = open_there
import coach.system as system

system.IS_WINDOWS = True
system.NO_LINK = system.NO_WAIT = 0
system.is_own = lambda *_, **__: True
system.flush_everything = lambda: False
system.forking = lambda: None
import coach.cli

out = sys.argv[2]
codes = [
    coach.cli.main(words)
    for words in (
        ["session", sys.argv[1] + "/tern", "--plain", "--silent"],
        ["caseload", sys.argv[1], "--plain"],
        ["check", sys.argv[1] + "/tern"],
        ["backup", sys.argv[1], "--to", out + "/all.zip"],
        ["restore", out + "/all.zip", "--to", out + "/zurück"],
    )
]
print(codes)
"""


def test_a_system_without_the_calls_of_posix(demo_profiles: Path, tmp_path: Path) -> None:
    """In a console of eight bits and a folder with blanks and other letters: session, caseload, backup and back."""
    folder = demo_profiles.rename(tmp_path / "Klienten Łódź und 東京")
    done = subprocess.run(
        [sys.executable, "-c", _ELSEWHERE, str(folder), str(tmp_path)],
        env={**os.environ, "PYTHONPATH": str(TREE), "PYTHONIOENCODING": "cp1252", "PYTHONWARNINGS": "ignore"},
        input=b"\n\n0\nn\n",
        capture_output=True,
        check=False,
    )
    said = done.stdout.decode("cp1252")
    assert said.splitlines()[-1] == "[4, 0, 0, 0, 0]", said + done.stderr.decode("cp1252")
    (record,) = (folder / "tern" / "records").iterdir()
    assert (tmp_path / "zurück" / "tern" / "records" / record.name).read_bytes() == record.read_bytes()


def _no_handle_is_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """As on Windows, which waits for sockets alone."""

    def refuse(*_: object) -> None:
        raise OSError(10038, "an operation was attempted on something that is not a socket")

    monkeypatch.setattr(system, "IS_WINDOWS", True)
    monkeypatch.setattr(select, "select", refuse)


@pytest.fixture
def elsewhere(monkeypatch: pytest.MonkeyPatch) -> tuple[KeyboardInput, int]:
    """A pipe that a thread reads, as where no handle can be waited for; and its other end."""
    _no_handle_is_waited_for(monkeypatch)
    out, into = os.pipe()
    return KeyboardInput(out), into


def test_lines_are_read_where_no_handle_can_be_waited_for(elsewhere: tuple[KeyboardInput, int]) -> None:
    typed, into = elsewhere
    assert typed.line(0.0) is None
    os.write(into, b"y\r\n7")
    assert typed.line(None) == "y"
    os.write(into, b"\n")
    assert typed.line(None) == "7"
    os.close(into)
    with pytest.raises(EndOfInput):
        typed.line(None)
    with pytest.raises(EndOfInput):
        typed.line(None)


def test_only_what_is_asked_for_is_read_where_no_handle_can_be_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """After a session another question may be asked, by a library that reads the keyboard itself."""
    there, steps = iter([b"q\n", b"y\n"]), list[str]()

    class Keyboard:
        def read(self, _: int) -> bytes:
            steps.append("read")
            return next(there)

    monkeypatch.setattr(system, "IS_WINDOWS", True)
    monkeypatch.setattr(system, "open", lambda *_, **__: Keyboard(), raising=False)
    typed = KeyboardInput(0)
    for expected in ("q", "y"):
        assert typed.line(None) == expected
        steps.append("line")
    assert steps == ["read", "line", "read", "line"]


def test_an_empty_input_has_ended_where_no_handle_can_be_waited_for(elsewhere: tuple[KeyboardInput, int]) -> None:
    typed, into = elsewhere
    assert not typed.ended()
    os.close(into)
    with pytest.raises(EndOfInput):
        typed.line(None)


def test_what_came_before_the_first_look_is_seen_by_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """So that an empty input begins no session; the thread that waits has to be given a turn."""
    monkeypatch.setattr(system, "IS_WINDOWS", True)
    monkeypatch.setattr(system, "_HEARD_S", 60.0)  # enough on a busy computer; over as soon as the thread has read
    out, into = os.pipe()
    os.close(into)
    assert KeyboardInput(out).ended()


@pytest.mark.parametrize("is_windows", [False, True])
def test_what_is_typed_after_the_last_page_is_the_clients_plan(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch, is_windows: bool
) -> None:
    """Also where the lines came at once, and where a thread that waits for the next page would take them."""
    if is_windows:
        _no_handle_is_waited_for(monkeypatch)
    out, into = os.pipe()
    os.write(into, b"q\ny\nw\nmon\n7.15\nafter breakfast\n\n\n")
    os.close(into)
    with os.fdopen(out, encoding="utf-8") as typed:
        monkeypatch.setattr(sys, "stdin", typed)
        assert main(["session", str(demo_profiles / "tern"), "--plain", "--silent"]) == 0
    plan = read_plan(demo_profiles / "tern", ClientStore.read(demo_profiles / "tern").profile)
    assert plan is not None
    assert (plan.days, plan.at, plan.when) == (("monday",), "07:15", "after breakfast")


def test_a_console_gives_utf_8_and_not_its_code_page(
    elsewhere: tuple[KeyboardInput, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """There `os.read` gives what code page 850 has for a letter, and a file that of UTF-8."""
    typed, into = elsewhere
    read = os.read
    monkeypatch.setattr(os, "read", lambda *values: read(*values).decode().encode("cp850"))
    os.write(into, "nach dem Frühstück\r\n".encode())
    assert typed.line(None) == "nach dem Frühstück"


class _Unread(io.RawIOBase):
    """The output to a pipe that nobody reads, as Windows has it."""

    def __init__(self) -> None:
        out, self.handle = os.pipe()
        os.close(out)
        self.is_read = False

    def writable(self) -> bool:
        return True

    def fileno(self) -> int:
        return self.handle

    def write(self, data: "Buffer") -> int:
        if self.is_read:
            return memoryview(data).nbytes
        raise OSError(errno.EINVAL, "Invalid argument")


@pytest.fixture
def unread() -> Iterator[io.TextIOWrapper]:
    """An output of it, which is read again at the end, so that it can be closed."""
    raw = _Unread()
    with io.TextIOWrapper(io.BufferedWriter(raw), encoding="utf-8") as output:
        yield output
        raw.is_read = True
    os.close(raw.handle)


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [(["--help"], 0, ""), (["session", "tern", "--plain", "--silent"], 4, "Your session is kept as it stands.")],
)
def test_an_output_that_nobody_reads_any_more_is_no_fault(
    words: list[str],
    code: int,
    said: str,
    unread: io.TextIOWrapper,
    demo_profiles: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Such as a pager that was left."""
    monkeypatch.chdir(demo_profiles)
    monkeypatch.setattr(system, "IS_WINDOWS", True)
    out, into = os.pipe()
    os.write(into, b"\n\n")
    os.close(into)
    with os.fdopen(out, encoding="utf-8") as typed:
        monkeypatch.setattr(sys, "stdin", typed)
        monkeypatch.setattr(sys, "stdout", unread)
        found = main(words)
    assert (found, capsys.readouterr().err.partition(" Start the same")[0].strip()) == (code, said)


@pytest.mark.parametrize("error", [OSError(errno.EINVAL, "no such time"), OSError(errno.EIO, "a broken disk")])
def test_another_error_is_not_taken_for_an_output_that_nobody_reads(
    error: OSError, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(system, "IS_WINDOWS", True)
    assert not system.is_reader_gone(error)


@pytest.mark.parametrize("to_a_pipe", [False, True])
def test_another_error_leaves_no_line_in_the_output(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, to_a_pipe: bool
) -> None:
    """A file is named in it, or the output is none that anybody reads meanwhile."""
    monkeypatch.setattr(system, "IS_WINDOWS", True)
    file, names = tmp_path / "out", ("a?b.zip",) if to_a_pipe else ()
    file.touch()
    out, into = os.pipe() if to_a_pipe else (os.open(file, os.O_RDONLY), os.open(file, os.O_WRONLY))
    with os.fdopen(into, "w", encoding="utf-8") as output:
        monkeypatch.setattr(sys, "stdout", output)
        assert not system.is_reader_gone(OSError(errno.EINVAL, "Invalid argument", *names))
        monkeypatch.undo()
    assert os.read(out, 100) == b""
    os.close(out)


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """A system that moves nothing while others have it open: for as many waits as are in the list."""
    left, replace, rename = list[float](), Path.replace, Path.rename

    def refused(path: Path, target: Path) -> Path:
        if left:
            raise PermissionError(13, "Access is denied", str(path))
        return replace(path, target)

    monkeypatch.setattr(system, "IS_WINDOWS", True)
    monkeypatch.setattr(Path, "replace", refused)
    monkeypatch.setattr(Path, "rename", lambda path, to: refused(path, to) if left else rename(path, to))
    monkeypatch.setattr(time, "sleep", lambda _: left.pop() if left else None)
    return left


def test_a_file_that_another_program_has_open_for_a_moment_is_replaced(tmp_path: Path, held: list[float]) -> None:
    """Such as a virus scanner, which looks at each file that has just been written."""
    (tmp_path / "a").write_text("old")
    held.extend([0.0] * 3)
    replace_bytes(tmp_path / "a", b"new")
    assert (tmp_path / "a").read_text() == "new"
    held.extend([0.0] * 3)
    with new_folder(tmp_path / "b") as write:
        write("c/d", b"e")
    assert (tmp_path / "b" / "c" / "d").read_text() == "e"


def test_a_new_file_that_another_program_has_open_for_a_moment_gets_its_name(
    tmp_path: Path, held: list[float], monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is not linked to that name first: Windows would refuse to delete the temporary one."""

    def refused(path: Path, **_: bool) -> None:
        raise PermissionError(13, "Access is denied", str(path))

    monkeypatch.setattr("coach.toml.new_file.IS_WINDOWS", True)
    monkeypatch.setattr(Path, "unlink", refused)
    with new_file(tmp_path / "a") as file:
        file.write(b"b")
        held.extend([0.0] * 3)
    assert [(one.name, one.read_bytes()) for one in tmp_path.iterdir()] == [("a", b"b")]


def test_a_draft_that_another_program_has_open_for_a_moment_is_deleted(
    tmp_path: Path, held: list[float], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The visit is signed by then: whoever signed it must not meet an error, nor the draft again."""
    unlink = Path.unlink

    def refused(path: Path, missing_ok: bool = False) -> None:
        if held:
            raise PermissionError(13, "Access is denied", str(path))
        unlink(path, missing_ok)

    monkeypatch.setattr(Path, "unlink", refused)
    (tmp_path / DRAFT).write_text("typed")
    held.extend([0.0] * 3)
    forget_draft(tmp_path)
    forget_draft(tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_stays_open_elsewhere_is_told_and_left(tmp_path: Path, held: list[float]) -> None:
    (tmp_path / "a").write_text("old")
    held.extend([0.0] * 1000)
    with pytest.raises(PermissionError):
        replace_bytes(tmp_path / "a", b"new")
    assert [(one.name, one.read_text()) for one in tmp_path.iterdir()] == [("a", "old")]


def test_a_file_that_stays_open_elsewhere_is_named_with_what_to_do(
    demo_profiles: Path, held: list[float], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The file itself, and not the temporary one that should have taken its place."""
    replace = Path.replace

    def refused(path: Path, target: Path) -> Path:
        try:
            return replace(path, target)
        except PermissionError as error:
            raise PermissionError(13, "Access is denied", str(path), None, str(target)) from error

    monkeypatch.setattr(Path, "replace", refused)
    held.extend([0.0] * 1000)
    assert main(["bands", str(demo_profiles / "tern"), "--add", "knotted", "122", "22.1"]) == 1
    said = capsys.readouterr().err
    assert f"{demo_profiles / 'tern' / 'profile.toml'}: this cannot be read or written: access is denied" in said
    assert "close it in other programs" in said


def test_stars_are_filled_in_where_the_shell_does_not(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("b.sealed", "a.sealed", "c.toml", "d[1].sealed", "d1.sealed", ".lock"):
        (tmp_path / name).touch()
    typed = [tmp_path / name for name in ("?.sealed", "c.toml", "d[1]*", "no*", ".l*", "?lock")]
    assert list(each_file(typed)) == typed
    monkeypatch.setattr(system, "IS_WINDOWS", True)
    names = [path.name for path in each_file(typed)]
    assert names == ["a.sealed", "b.sealed", "c.toml", "d[1].sealed", "no*", ".lock", "?lock"]


def test_what_was_derived_stays_on_the_computer_where_folders_of_the_user_go_to_a_server(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(system, "IS_WINDOWS", True)
    assert cache_folder({"LOCALAPPDATA": str(tmp_path)}) == tmp_path / "steady-arc" / "Cache"
    assert (
        cache_folder({"XDG_CACHE_HOME": str(tmp_path)}) == Path.home() / "AppData" / "Local" / "steady-arc" / "Cache"
    )


def test_a_new_file_takes_the_place_of_no_other(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where there are no links, as on a memory stick: Windows refuses to rename onto a file, not to replace it."""

    def refused(*_: object) -> None:
        raise OSError(errno.EPERM, "no links here")

    monkeypatch.setattr(os, "link", refused)
    monkeypatch.setattr(Path, "hardlink_to", refused)
    monkeypatch.setattr(Path, "replace", lambda *_: pytest.fail("it would take the place of another"))
    with new_file(tmp_path / "all.zip") as file:
        file.write(b"whole")
    assert (tmp_path / "all.zip").read_bytes() == b"whole"
