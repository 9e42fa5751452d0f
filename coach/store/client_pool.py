"""The same work for each of many clients, in processes or threads where that is faster; the results in order."""

import gc
import os
import signal
import threading
import time
from collections import deque
from collections.abc import Callable, Generator, Iterable, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from coach.system import forking

if TYPE_CHECKING:
    from concurrent.futures import Future

Item = TypeVar("Item")
Result = TypeVar("Result")
OnProgress = Callable[[int, int], None]
"""Told how many clients are done, and how many there are."""

# One process reads fewer clients than this sooner than several processes start.
_LEAST_FOR_PROCESSES = 150
_CHUNK, _CHUNKS_AHEAD = 10, 3
_MOST_PROCESSES = 8
# Most of a client's garbage is freed without the collector. A collection after each client would take a tenth of the
# time; without any, a process would grow with the number of its clients. Older generations are collected as often as
# the first: what is in use during one collection is garbage by the next, and would pile up.
_GARBAGE_EVERY = (50_000, 1, 1)
# A look at a client's folder on a disk takes a tenth of this. One that takes longer, as on a share, is nearly all
# waiting, so several can be made at once.
_SLOW_LOOK_S = 0.003
_LOOKS, _LOOKS_AT_ONCE = 64, 16


def for_clients(folder: Path, names: Sequence[str], work: Callable[[Path], Result]) -> Generator[Result, None, None]:
    """What `work` returns for each client of a folder. Where it is closed before its end, the processes end with it.

    Only as many results are held as keep the processes busy. Names are passed on, not paths, which take more memory.
    """
    processes = min(os.cpu_count() or 1, _MOST_PROCESSES)
    context = forking() if threading.active_count() == 1 else None
    if len(names) < _LEAST_FOR_PROCESSES or processes == 1 or context is None:
        yield from (work(folder / name) for name in names)
        return
    from concurrent.futures import ProcessPoolExecutor

    pool = ProcessPoolExecutor(processes, context, initializer=_start_process, initargs=(work,))
    begun = deque["Future[list[Result]]"]()
    try:
        for first in range(0, len(names), _CHUNK):
            begun.append(pool.submit(_work_in_process, folder, names[first : first + _CHUNK]))
            if len(begun) > _CHUNKS_AHEAD * processes:
                yield from begun.popleft().result()
        while begun:
            yield from begun.popleft().result()
    finally:
        pool.shutdown(cancel_futures=True)


def look_at(items: Sequence[Item], look: Callable[[Item], Result]) -> Generator[Result, None, None]:
    """What `look` returns for each item, in order; in threads where the first looks took long."""
    with ExitStack() as threads:
        each: Callable[..., Iterable[Result]] = map
        for first in range(0, len(items), _LOOKS):
            some, begun_s = items[first : first + _LOOKS], time.perf_counter()
            found = list(each(look, some))
            if each is map and time.perf_counter() - begun_s > _SLOW_LOOK_S * len(some):
                from concurrent.futures import ThreadPoolExecutor

                each = threads.enter_context(ThreadPoolExecutor(_LOOKS_AT_ONCE)).map
            yield from found


_work_of_process: list[Callable[[Path], Any]] = []


def _start_process(work: Callable[[Path], Any]) -> None:
    """Set up a process that goes through a share of the clients. Ctrl-C reaches it too, and is for its parent."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    gc.set_threshold(*_GARBAGE_EVERY)
    gc.freeze()
    gc.collect()  # resets the count of old objects; else a full collection waits for a quarter of what the parent had
    _work_of_process[:] = [work]


def _work_in_process(folder: Path, names: Sequence[str]) -> list[Any]:
    return [_work_of_process[0](folder / name) for name in names]
