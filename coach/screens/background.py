"""Work that is done beside other work: what waits for the disk need not keep what is computed waiting."""

from collections.abc import Callable
from concurrent.futures import Future
from threading import Thread
from typing import TypeVar

Result = TypeVar("Result")


def begun(work: Callable[[], Result]) -> Callable[[], Result]:
    """Begin some work in a thread of its own.

    The function that is returned waits for the end of it, and gives its result or raises its error.
    """
    future = Future[Result]()

    def run() -> None:
        try:
            future.set_result(work())
        except BaseException as error:  # raised again where the result is asked for
            future.set_exception(error)

    Thread(target=run, name="begun").start()
    return future.result
