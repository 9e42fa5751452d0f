"""When an app under test has come to rest.

A pilot of Textual waits after each key until the process has idled for 20 ms, twice, and that is most of the time of
a test of the screens. Here an app is at rest when its event loop has nothing ready to run, its screen has nothing to
draw, and no worker or thread of it is at work.
"""

import asyncio
from time import monotonic, process_time

import textual.app
import textual.pilot
from textual._context import active_app

_THEIRS = "wait_for_idle"
_BETWEEN_LOOKS_S = 0.003
# Of the processor, between two looks: a thread at work takes all of them, the looks themselves much less.
_AT_WORK_S = 0.001


async def settled(_: float = 0.0, max_sleep: float = 1.0) -> None:
    """Wait until the app under test is at rest, as long as Textual's own wait does at most."""
    began = monotonic()
    while monotonic() - began < max_sleep:
        used = process_time()
        await asyncio.sleep(_BETWEEN_LOOKS_S)
        at_work = process_time() - used > _AT_WORK_S
        if not (_draws() or _something_is_ready() or _a_worker_is_at_work() or at_work):
            return


def _draws() -> bool:
    """Whether the screen had something to draw. It is drawn now, not with the next of sixty frames a second."""
    app = active_app.get(None)
    if app is None or not app.screen_stack:
        return False
    screen = app.screen
    if not (
        screen._layout_required
        or screen._scroll_required
        or screen._repaint_required
        or screen._recompose_required
        or screen._dirty_widgets
        or screen._callbacks
    ):
        return False
    screen._on_timer_update()
    return True


def _something_is_ready() -> bool:
    """Whether the event loop has something to run that waits for nothing."""
    return bool(getattr(asyncio.get_running_loop(), "_ready", ()))


def _a_worker_is_at_work() -> bool:
    """Whether the app has begun something in a thread that is not finished, even if the thread has to wait."""
    app = active_app.get(None)
    return app is not None and any(not worker.is_finished for worker in app.workers)


def settle_without_idling() -> None:
    """Let every pilot wait in this way."""
    for module in (textual.app, textual.pilot):
        assert hasattr(module, _THEIRS)
        setattr(module, _THEIRS, settled)
