"""The command `coach`: one parser, one place where whatever goes wrong becomes a sentence."""

import argparse
import gc
import os
import signal
import sys
from collections.abc import Callable, Sequence

from coach.commands import client, content, paper, steering, therapist
from coach.commands.crash import crash_line
from coach.commands.given import BROKEN, EXIT_CODES, FAULTS, FINE, NOT_NOW, USAGE, say

# A start makes a great many objects that live to its end; looking through them again and again was a sixth of
# the time to the first screen.
_OBJECTS_BETWEEN_COLLECTIONS = 100_000


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit code. Whatever happens, a sentence and never a traceback."""
    gc.set_threshold(_OBJECTS_BETWEEN_COLLECTIONS)
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
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    for role in (client, therapist, steering, paper, content):
        role.declare_all(commands)
    return parser


def _said(error: Exception) -> int:
    """What went wrong in words, and its exit code: a word of our own, or a fault of the program itself."""
    from coach.files.diagnostic import FileFault
    from coach.files.live_session import NotSaved
    from coach.files.lock import InUse
    from coach.files.refusal import Refusal
    from coach.mechanics.anchor import ImpossibleAnchor
    from coach.mechanics.ladder import NoLoadStep
    from coach.mechanics.load import NoArc
    from coach.model.exercise import NoPosition
    from coach.screens.not_here import NotHere

    codes: dict[type[Exception], int] = {
        FileFault: FAULTS,
        NotSaved: FAULTS,
        Refusal: USAGE,
        NoLoadStep: FAULTS,
        ImpossibleAnchor: FAULTS,
        NoArc: FAULTS,
        NoPosition: USAGE,
        InUse: NOT_NOW,
        NotHere: USAGE,
    }
    code = next((code for kind, code in codes.items() if isinstance(error, kind)), None)
    return say(crash_line(error), BROKEN) if code is None else say(str(error), code)
