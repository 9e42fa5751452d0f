"""The report of an internal error: where it happened, without any data of the client."""

from collections.abc import Iterator
from pathlib import Path
from types import TracebackType

from coach import __version__

_PACKAGE = "coach"
_MAX_PLACES = 12
_LIBRARIES = ("textual", "pydantic")


def crash_line(error: BaseException) -> str:
    """The message for an internal error: its type, that the answers are saved, and a report for the developers.

    The report holds only names and line numbers of the program. The text of the error, values and paths of this
    computer are left out, as any of them may contain an answer of the client. The report is shown and not sent.
    """
    places = list(_places(error.__traceback__))
    where = places[-1] if places else "an unknown place"
    report = [", ".join(_versions()), *(line for one in _with_causes(error) for line in _traceback_lines(one))]
    return "\n".join(
        (
            f"A fault in the program itself: {type(error).__name__} at {where}.",
            "Every answer after which the next screen appeared is saved. Run the same command again to continue.",
            "Nothing was sent to anybody. To report it, pass these lines on; they contain nothing about you:",
            *(f"  {line}" for line in report),
        )
    )


def _traceback_lines(error: BaseException) -> Iterator[str]:
    """The type of an error, and the lines of the program that it passed through."""
    yield type(error).__name__
    yield from (f"  {place}" for place in list(_places(error.__traceback__))[-_MAX_PLACES:])


def _with_causes(error: BaseException) -> Iterator[BaseException]:
    """The error and its causes, each once."""
    seen: list[BaseException] = []
    following: BaseException | None = error
    while following is not None and following not in seen:
        seen.append(following)
        yield following
        following = following.__cause__ or following.__context__


def _places(trace: TracebackType | None) -> Iterator[str]:
    """The lines of the program in a traceback, the innermost last."""
    while trace is not None:
        code = trace.tb_frame.f_code
        parts = Path(code.co_filename).parts
        if _PACKAGE in parts:
            inside = parts[len(parts) - parts[::-1].index(_PACKAGE) :]
            yield f"{'/'.join(inside)}, line {trace.tb_lineno}, {code.co_name}"
        trace = trace.tb_next


def _versions() -> Iterator[str]:
    import platform  # only needed here, like the versions of libraries
    from importlib.metadata import PackageNotFoundError, version

    yield f"Python {platform.python_version()} on {platform.system()}"
    yield f"steady-arc {__version__}"
    for name in _LIBRARIES:
        try:
            yield f"{name} {version(name)}"
        except PackageNotFoundError:
            yield f"{name} as found"
