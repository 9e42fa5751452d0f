"""The command `coach`: one parser, one place where whatever goes wrong becomes a sentence."""

import argparse
import os
import signal
import sys
from collections.abc import Callable, Mapping, Sequence

from coach import __version__
from coach.commands import backup, caseload, client, content, intake, paper, preview, steer, therapist
from coach.commands.support.crash_report import crash_line
from coach.commands.support.output import BROKEN, EXIT_CODES, FINE, USAGE, code_of, say
from coach.commands.support.spelling import no_command, not_taken
from coach.screens.gc_tuning import put_off_tidying


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit code. Whatever happens, a sentence and never a traceback."""
    put_off_tidying()
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # or every start looks through all that is installed
    given = list(sys.argv[1:] if arguments is None else arguments)
    parser, commands = _parser()
    if not given:
        parser.print_help()
        return USAGE
    if not given[0].startswith("-") and given[0] not in commands:
        return say(no_command(given[0], commands), USAGE)
    chosen, not_known = parser.parse_known_args(given)
    if not_known:
        named = next(word for word in given if word in commands)
        return say(not_taken(not_known[0], commands[named]), USAGE)
    return _run(chosen)


def _run(chosen: argparse.Namespace) -> int:
    run: Callable[[argparse.Namespace], int] = chosen.run
    try:
        return run(chosen)
    except BrokenPipeError:
        # Whoever read our output has gone: point what is left of it nowhere, so that the exit is quiet too.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return FINE
    except KeyboardInterrupt:
        return 128 + signal.SIGINT
    except Exception as error:
        return _said(error)


def _parser() -> tuple[argparse.ArgumentParser, Mapping[str, argparse.ArgumentParser]]:
    """The parser of the whole, and those of the commands by their names."""
    parser = argparse.ArgumentParser(
        prog="coach",
        description="Steady Arc: a guided elastic-band session for the rotator cuff.",
        epilog=EXIT_CODES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"Steady Arc {__version__}")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    for role in (client, caseload, preview, therapist, intake, steer, paper, backup, content):
        role.declare_all(commands)
    return parser, commands.choices


def _said(error: Exception) -> int:
    """What went wrong in words, and its exit code: a word of our own, or a fault of the program itself."""
    code = code_of(error)
    return say(crash_line(error), BROKEN) if code is None else say(str(error), code)
