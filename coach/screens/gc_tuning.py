"""When Python's cyclic garbage collector runs: not while a command starts, and never for long during a set.

Start-up creates many objects that live to the end of the process. Collecting in between took a sixth of the time to
the first screen; one full collection in the middle of a set would hold up two frames.
"""

import gc

_USUAL = gc.get_threshold()
_DEFERRED = 1_000_000  # allocations before a collection; no start-up makes as many


def defer_gc() -> None:
    """Put off garbage collection; called when a command starts."""
    gc.set_threshold(_DEFERRED)


def restore_gc() -> None:
    """Collect as usual again, leaving out the objects of the start-up; does nothing unless `defer_gc` was called."""
    if gc.get_threshold()[0] == _DEFERRED:
        gc.freeze()
        gc.set_threshold(*_USUAL)
