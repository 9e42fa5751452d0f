"""The command `coach`: one parser, one place where whatever goes wrong becomes a sentence."""

import argparse
import os
import signal
import sys
from collections.abc import Callable, Sequence

from coach import __version__
from coach.commands import backup, caseload, client, content, intake, paper, preview, steering, therapist
from coach.commands.crash import crash_line
from coach.commands.given import BROKEN, EXIT_CODES, FINE, code_of, say
from coach.screens.tidying import put_off_tidying


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit code. Whatever happens, a sentence and never a traceback."""
    put_off_tidying()
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # or every start looks through all that is installed
    chosen = _parser().parse_args(arguments)
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


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="coach",
        description="Steady Arc: a guided elastic-band session for the rotator cuff.",
        epilog=EXIT_CODES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"Steady Arc {__version__}")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    for role in (client, caseload, preview, therapist, intake, steering, paper, backup, content):
        role.declare_all(commands)
    return parser


def _said(error: Exception) -> int:
    """What went wrong in words, and its exit code: a word of our own, or a fault of the program itself."""
    code = code_of(error)
    return say(crash_line(error), BROKEN) if code is None else say(str(error), code)
