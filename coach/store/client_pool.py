"""The same work for each of many clients: in several processes where that is faster, the results in order."""

import gc
import os
import signal
import threading
from collections import deque
from collections.abc import Callable, Generator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from pathlib import Path
from typing import Any, TypeVar

from coach.system import forking

Result = TypeVar("Result")
OnProgress = Callable[[int, int], None]
"""Told how many clients are done, and how many there are."""

# One process reads fewer clients than this sooner than several processes start.
_LEAST_FOR_PROCESSES = 150
_CHUNK, _CHUNKS_AHEAD = 10, 3
_MOST_PROCESSES = 8
# Most garbage of a client is let go without a search for it; the search would take a tenth of the time, and without
# any a process would grow with the number of its clients.
_GARBAGE_EVERY = 100_000


def for_clients(paths: Sequence[Path], work: Callable[[Path], Result]) -> Generator[Result, None, None]:
    """What `work` returns for each client. Where it is closed before its end, the processes end with it.

    Only as many results are held as keep the processes busy.
    """
    processes = min(os.cpu_count() or 1, _MOST_PROCESSES)
    context = forking() if threading.active_count() == 1 else None
    if len(paths) < _LEAST_FOR_PROCESSES or processes == 1 or context is None:
        yield from map(work, paths)
        return
    pool = ProcessPoolExecutor(processes, context, initializer=_start_process, initargs=(work,))
    begun = deque[Future[list[Result]]]()
    try:
        for first in range(0, len(paths), _CHUNK):
            begun.append(pool.submit(_work_in_process, paths[first : first + _CHUNK]))
            if len(begun) > _CHUNKS_AHEAD * processes:
                yield from begun.popleft().result()
        while begun:
            yield from begun.popleft().result()
    finally:
        pool.shutdown(cancel_futures=True)


_work_of_process: list[Callable[[Path], Any]] = []


def _start_process(work: Callable[[Path], Any]) -> None:
    """Set up a process that goes through a share of the clients. Ctrl-C reaches it too, and is for its parent."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    gc.set_threshold(_GARBAGE_EVERY)
    gc.freeze()
    _work_of_process[:] = [work]


def _work_in_process(paths: Sequence[Path]) -> list[Any]:
    return [_work_of_process[0](path) for path in paths]
