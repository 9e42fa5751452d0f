"""A bar on standard error for what takes over a second, and Ctrl-C during it; without a terminal nothing is shown."""

import signal
import sys
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from types import FrameType
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from rich.progress import Progress, TaskID

    from coach.store.client_pool import OnProgress

Item = TypeVar("Item")
_WAITS_S, _EVERY_S = 1.0, 0.1
_WIDTH = 24  # columns: a line that ends before the edge leaves room for what the terminal shows of Ctrl-C


@contextmanager
def progress_bar(message: str) -> "Iterator[OnProgress]":
    """Yields a function that is told how much is done and of how much; `message` has these as {done} and {total}.

    The bar is drawn when it is told, and by no thread of its own: processes are forked meanwhile.
    """
    if not _is_seen():
        yield lambda *_: None
        return
    bar = _Bar(message)
    try:
        yield bar.show
    finally:
        bar.close()


def counted(items: Iterable[Item], total: int, on_done: "OnProgress") -> Iterator[Item]:
    """The same items; `on_done` is told of each before the next is asked for."""
    for number, item in enumerate(items, start=1):
        yield item
        on_done(number, total)


@contextmanager
def uninterrupted_removal(message: str) -> Iterator[None]:
    """For what leaves many files to be taken away when it is stopped, which takes a while too.

    The first Ctrl-C shows the message and is raised as always; another one does not cut the clearing short.
    """

    def stop(number: int, frame: FrameType | None) -> None:
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        if _is_seen():
            print(f"\n{message}", file=sys.stderr, flush=True)
        signal.default_int_handler(number, frame)

    if signal.getsignal(signal.SIGINT) is not signal.default_int_handler:  # handled elsewhere, or ignored
        yield
        return
    signal.signal(signal.SIGINT, stop)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, signal.default_int_handler)


def _is_seen() -> bool:
    """Whether standard error is a terminal; it may be closed."""
    return sys.stderr is not None and sys.stderr.isatty()


class _Bar:
    def __init__(self, message: str) -> None:
        self._message = message
        self._due_s = time.monotonic() + _WAITS_S
        self._drawn: tuple[Progress, TaskID] | None = None

    def show(self, done: int, total: int) -> None:
        """Draw how far it is, at most ten times a second and not in the first one."""
        if time.monotonic() < self._due_s:
            return
        from coach.model.message_format import fill

        if self._drawn is None:
            self._drawn = _started()
        progress, task = self._drawn
        text = fill(self._message, {"done": done, "total": total})
        progress.update(task, description=text, completed=done, total=total)
        progress.refresh()
        self._due_s = time.monotonic() + _EVERY_S

    def close(self) -> None:
        """Take the bar away."""
        if self._drawn is not None:
            self._drawn[0].stop()


def _started() -> "tuple[Progress, TaskID]":
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}", markup=False), BarColumn(_WIDTH), TimeRemainingColumn())
    progress = Progress(*columns, console=Console(stderr=True), auto_refresh=False, transient=True)
    task = progress.add_task("")
    progress.start()
    return progress, task
