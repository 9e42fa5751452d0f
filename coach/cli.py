"""The command `coach`: the parser, and the single place where an error becomes a message and an exit code."""

import errno
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from importlib import import_module
from textwrap import fill
from typing import TYPE_CHECKING

from coach import __version__
from coach.command_table import COMMANDS, SELDOM
from coach.commands.support.crash_report import crash_line
from coach.commands.support.output import (
    BROKEN,
    FAULTS,
    FINE,
    NOT_NOW,
    USAGE,
    adapt_output,
    exit_code_of,
    message_of,
    print_error,
)
from coach.quick_imports import import_quickly
from coach.screens.gc_tuning import defer_gc
from coach.system import is_reader_gone, open_bytes

if TYPE_CHECKING:
    import argparse

_WIDTH = 79
_OF_SURROUNDINGS = (errno.EACCES, errno.EPERM, errno.EROFS, errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO)
_OF_A_NAME = (errno.EINVAL, errno.ENAMETOOLONG, errno.EILSEQ)  # where a file is named
# What Windows and memory sticks take in no name: Microsoft, Naming Files, Paths, and Namespaces (from memory).
_ANOTHER_NAME = 'give it another name: shorter, without any of < > : " | ? *, and without a full stop at its end'
_INTERRUPTED = 128 + signal.SIGINT
_OF_THE_SCREEN = ("TEXTUAL_ANIMATIONS", "TEXTUAL_DISABLE_KITTY_KEY", "TEXTUAL_SMOOTH_SCROLL")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code; an error is printed as a message, never as a traceback."""
    defer_gc()
    if arguments is None:
        import_quickly()
    adapt_output()
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # pydantic would search all installed packages
    _drop_switches_of_textual()
    try:
        return _run_line(list(sys.argv[1:] if arguments is None else arguments))
    except KeyboardInterrupt:
        if arguments is None:
            # The process ends now; another Ctrl-C while it does would end it by the signal, with another exit code.
            signal.signal(signal.SIGINT, signal.SIG_IGN)
            _end_if_busy()
        return _INTERRUPTED


def _drop_switches_of_textual() -> None:
    """Remove the environment variables that Textual reads when it is imported, but for those of the screen.

    They name another driver or other colours, press keys, which would answer questions, and write what is shown
    into files.
    """
    for name in [name for name in os.environ if name.startswith("TEXTUAL_") and name not in _OF_THE_SCREEN]:
        del os.environ[name]


def _end_if_busy() -> None:
    """End at once where a thread still works for a page that is closed; Python would wait for it.

    These threads read, and keep what they derived in files that are replaced whole.
    """
    if any(not one.daemon for one in threading.enumerate() if one is not threading.main_thread()):
        with suppress(OSError, ValueError):
            sys.stdout.flush()
        os._exit(_INTERRUPTED)


def _run_line(typed: list[str]) -> int:
    if not typed:
        return _run(_open_front_door)
    if typed[0] in ("-h", "--help"):
        return _run(_show_overview)
    if not typed[0].startswith("-") and typed[0] not in COMMANDS:
        from coach.commands.support.spelling import unknown_command

        return print_error(unknown_command(typed[0], COMMANDS), USAGE)
    parser, commands = parser_of(typed)
    parsed, unknown = parser.parse_known_args(typed)
    if unknown:
        from coach.commands.support.spelling import unknown_argument

        command = next(word for word in typed if word in commands)
        return print_error(unknown_argument(unknown[0], commands[command]), USAGE)
    return _run(lambda: _started(parsed))


def _show_overview() -> int:
    """The list of commands."""
    print(_overview(), flush=True)
    return FINE


def _open_front_door() -> int:
    """`coach` alone: today's session, the caseload, or what to do."""
    from coach.commands.home.front_door import what_to_open

    words = what_to_open()
    if isinstance(words, int):
        return words
    return _started(parser_of(words)[0].parse_args(words))


def _started(parsed: "argparse.Namespace") -> int:
    """Run a command that was parsed."""
    run: Callable[[argparse.Namespace], int] = parsed.run
    return run(parsed) if getattr(parsed, "content", None) is None else _run_with_content(parsed)


def _run(command: Callable[[], int]) -> int:
    try:
        return command()
    except EOFError:
        return print_error("The input ended before an answer: what was not confirmed is not kept.", NOT_NOW)
    except OSError as error:
        if is_reader_gone(error):  # else the flush at exit would raise the same error again
            os.dup2(open_bytes(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            return FINE
        said = _of_surroundings(error)
        return print_error(crash_line(error), BROKEN) if said is None else print_error(said, FAULTS)
    except Exception as error:
        code = exit_code_of(error)
        return print_error(crash_line(error), BROKEN) if code is None else print_error(message_of(error), code)


def _of_surroundings(error: OSError) -> str | None:
    """What is wrong with a disk, a name or somebody else's folder; None where it is the program."""
    from pathlib import Path

    from coach.system import to_write_again
    from coach.toml.diagnostic import error_reason, render, whole_file

    places = (error.filename2, error.filename)  # of a move its target: the source is a temporary file
    place = next((os.fspath(one) for one in places if isinstance(one, str | os.PathLike)), None)
    what = f"this cannot be read or written: {error_reason(error)}"
    if error.errno in _OF_A_NAME and place is not None:
        return render(whole_file(Path(place), what, "a name that the disk takes", _ANOTHER_NAME))
    if error.errno not in _OF_SURROUNDINGS:
        return None
    return render(whole_file(Path(place or "here"), what, "a file or folder of your own", to_write_again()))


def _run_with_content(parsed: "argparse.Namespace") -> int:
    """Run a command with another content folder, or report every fault of that folder."""
    from coach.authoring.check_content import check_content
    from coach.content_files.content_folder import using_content
    from coach.toml.diagnostic import render

    faults = check_content(parsed.content)
    if faults:
        return print_error("\n\n".join(render(fault) for fault in faults), FAULTS)
    run: Callable[[argparse.Namespace], int] = parsed.run
    with using_content(parsed.content):
        return run(parsed)


def parser_of(words: Iterable[str]) -> "tuple[argparse.ArgumentParser, Mapping[str, argparse.ArgumentParser]]":
    """The parser with the commands among some words, and the parser of each by its name."""
    import argparse

    parser = argparse.ArgumentParser(prog="coach", usage="coach COMMAND ...", add_help=False)
    parser.add_argument("--version", action="version", version=f"Steady Arc {__version__}")
    commands = parser.add_subparsers(required=True, metavar="COMMAND", prog="coach")
    for module in dict.fromkeys(COMMANDS[word].module for word in words if word in COMMANDS):
        import_module(f"coach.commands.{module}").add_commands(commands)
    return parser, commands.choices


def _overview() -> str:
    """The list of commands, short enough for a terminal of 24 rows."""
    seldom = f"and seldom: {', '.join(SELDOM)} (each with --help)"
    return "\n".join(
        (
            "Steady Arc, guided elastic-band sessions. usage: coach COMMAND ... (or --help)",
            *(f"  {name:<10}{command.summary}" for name, command in COMMANDS.items() if name not in SELDOM),
            fill(seldom, _WIDTH, initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False),
        )
    )
