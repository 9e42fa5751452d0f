"""Work in a thread of its own, so that what waits for the disk holds up nothing else."""

from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from threading import Thread
from typing import TypeVar

Result = TypeVar("Result")


@contextmanager
def in_thread(work: Callable[[], Result]) -> Iterator[Callable[[], Result]]:
    """Do some work in a thread while the body runs; it has ended when the body is left, also by an error or Ctrl-C.

    What is given to the body waits for the work, and returns its result or raises its error.
    """
    future = Future[Result]()

    def run() -> None:
        try:
            future.set_result(work())
        except BaseException as error:  # raised again where the result is asked for
            future.set_exception(error)

    thread = Thread(target=run, name=in_thread.__name__)
    thread.start()
    try:
        yield future.result
    finally:
        thread.join()
