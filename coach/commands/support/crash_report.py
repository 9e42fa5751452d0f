"""What a fault of the program says: where it is, and nothing of the client's."""

import platform
from collections.abc import Iterator
from pathlib import Path
from types import TracebackType

from coach import __version__

_PACKAGE = "coach"
_MOST_PLACES = 12
_LIBRARIES = ("textual", "pydantic")


def crash_line(error: BaseException) -> str:
    """What a crash says: its kind, that nothing told is lost, and a report for whoever may mend it.

    The report holds names and lines of the program itself. No text of the error goes in, no value, no path of this
    machine: an answer of the client's may stand in any of them. It is shown, and sent nowhere.
    """
    places = list(_places(error.__traceback__))
    where = places[-1] if places else "an unknown place"
    report = [", ".join(_versions()), *(line for one in _with_causes(error) for line in _told(one))]
    return "\n".join(
        (
            f"A fault in the program itself: {type(error).__name__} at {where}.",
            "Every answer that the next screen followed is saved. Start the same command again to go on.",
            "Nothing was sent to anybody. To have it mended, pass these lines on; they hold nothing about you:",
            *(f"  {line}" for line in report),
        )
    )


def _told(error: BaseException) -> Iterator[str]:
    """The kind of an error, and its way through the program."""
    yield type(error).__name__
    yield from (f"  {place}" for place in list(_places(error.__traceback__))[-_MOST_PLACES:])


def _with_causes(error: BaseException) -> Iterator[BaseException]:
    """An error and what led to it, each once."""
    seen: list[BaseException] = []
    following: BaseException | None = error
    while following is not None and following not in seen:
        seen.append(following)
        yield following
        following = following.__cause__ or following.__context__


def _places(trace: TracebackType | None) -> Iterator[str]:
    """The lines of the program that an error came through, the last one the nearest to it."""
    while trace is not None:
        code = trace.tb_frame.f_code
        parts = Path(code.co_filename).parts
        if _PACKAGE in parts:
            inside = parts[len(parts) - parts[::-1].index(_PACKAGE) :]
            yield f"{'/'.join(inside)}, line {trace.tb_lineno}, {code.co_name}"
        trace = trace.tb_next


def _versions() -> Iterator[str]:
    from importlib.metadata import PackageNotFoundError, version  # a twentieth of every start, for a crash only

    yield f"Python {platform.python_version()} on {platform.system()}"
    yield f"steady-arc {__version__}"
    for name in _LIBRARIES:
        try:
            yield f"{name} {version(name)}"
        except PackageNotFoundError:
            yield f"{name} as found"
