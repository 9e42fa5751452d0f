"""What a command says to the person at the terminal, and the exit code that goes with it."""

import sys
from pathlib import Path

FINE, FAULTS, USAGE, NOT_NOW, CUT_OFF, BROKEN = 0, 1, 2, 3, 4, 70
EXIT_CODES = """exit codes: 0 done, 1 a file is wrong or would be written over, 2 the command
or the terminal does not fit, 3 not now (in review, in use, not signed), 4 the
input ended before the session, 70 a fault of the program itself"""


def say(sentence: str, code: int) -> int:
    """A sentence for the person at the terminal; the exit code that goes with it."""
    from coach.toml.diagnostic import printable

    print(printable(sentence, keep="\n\t"), file=sys.stderr)
    return code


def tell(sentence: str) -> int:
    """What was done, with the name of a file or a folder in it, of which a terminal obeys nothing; the exit code."""
    from coach.toml.diagnostic import printable

    print(printable(sentence))
    return FINE


def code_of(error: Exception) -> int | None:
    """The exit code of something that went wrong and says so in a sentence; None for a fault of the program."""
    from coach.model.exercise import NoExercise, NoPosition
    from coach.model.no_session import NoSession
    from coach.screens.terminal import NotHere
    from coach.store.live_session import NotSaved
    from coach.store.lock import InUse
    from coach.toml.diagnostic import FileFault, Refusal

    codes: dict[type[Exception], int] = {
        FileFault: FAULTS,
        NotSaved: FAULTS,
        Refusal: USAGE,
        NoPosition: USAGE,  # of all that keep from a session, the one that somebody asked for
        NoSession: FAULTS,
        NoExercise: FAULTS,
        InUse: NOT_NOW,
        NotHere: USAGE,
    }
    return next((code for kind, code in codes.items() if isinstance(error, kind)), None)


def written(path: Path, data: bytes, sentence: str) -> int:
    """Write a new file, and say so in a sentence with its {file}; the exit code. FileFault where it cannot be."""
    from coach.model.message_format import fill
    from coach.toml.new_file import write_new

    write_new(path, data)
    return tell(fill(sentence, {"file": path}))
