"""A session line by line in a process of its own, through pipes; its clock may stand in a file."""

import os
import select
import subprocess
import sys
from pathlib import Path

from tests.demo.pristine import TREE

_PATIENCE_S = 30.0
_WITH_CLOCK = """
import sys
from datetime import datetime
from pathlib import Path
import coach.cli
import coach.store.clock
from coach.session.state import Instant

def now():
    of_day_s, steady_s = map(float, Path(sys.argv[-1]).read_text().split())
    return Instant(steady_s, datetime.fromtimestamp(of_day_s).astimezone())

coach.store.clock.now = now
sys.exit(coach.cli.main(sys.argv[1:-1]))
"""


class Piped:
    """Begins a session; `types` a line and reads until what it brings."""

    def __init__(self, folder: Path, clock: Path | None = None) -> None:
        words = ["session", str(folder), "--plain", "--silent"]
        start = ["-m", "coach", *words] if clock is None else ["-c", _WITH_CLOCK, *words, str(clock)]
        self._child = subprocess.Popen(
            [sys.executable, *start],
            cwd=TREE,
            env={**os.environ, "PYTHONPATH": str(TREE)},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            bufsize=0,
        )
        self.number = self._child.pid
        self._unread = ""

    def says(self, text: str) -> str:
        """What is said up to this text, which is in it; AssertionError where it never comes."""
        while text not in (heard := " ".join(self._unread.split())):
            came = self._came()
            assert came, f"{text!r} is not said:\n{self._unread}"
            self._unread += came
        before, _, self._unread = heard.partition(text)
        return before + text

    def types(self, line: str, then: str) -> str:
        """What a line brings, up to this text."""
        assert self._child.stdin is not None
        self._child.stdin.write(f"{line}\n".encode())
        return self.says(then)

    def ends(self) -> str:
        """End the input; what is said from there to the end."""
        assert self._child.stdin is not None
        self._child.stdin.close()
        while came := self._came():
            self._unread += came
        self._close()
        return " ".join(self._unread.split())

    def kill(self) -> None:
        """End the process at once."""
        self._child.kill()
        self._close()

    def _close(self) -> None:
        self._child.wait()
        for pipe in (self._child.stdin, self._child.stdout):
            assert pipe is not None
            pipe.close()

    def _came(self) -> str:
        assert self._child.stdout is not None
        ready, _, _ = select.select([self._child.stdout], [], [], _PATIENCE_S)
        return os.read(self._child.stdout.fileno(), 1 << 16).decode() if ready else ""
