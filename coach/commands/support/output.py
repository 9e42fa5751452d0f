"""What a command prints for the user, and its exit code."""

import codecs
import shutil
import sys
from pathlib import Path
from textwrap import wrap

FINE, FAULTS, USAGE, NOT_NOW, CUT_OFF, BROKEN = 0, 1, 2, 3, 4, 70
# In narrower terminals a message is left for the terminal to break.
_NARROWEST = 20
EXIT_CODES = (
    "exit codes: 0 done; 1 a file is invalid, exists already or was not saved; 2 wrong arguments or an unsuitable "
    "terminal; 3 not now (in review, in use or not signed); 4 the input ended before the session did; "
    "70 internal error"
)


_ERRORS = "steady-arc-plain"
# Blocks and patterns of dots as one dense sign, lines as lines, marks of a plot as signs that differ as they do; what
# is left is a question mark.
_PLAIN = {"░": ".", "▒": ":", "▓": "#", "─": "-", "━": "=", "│": "|", "┃": "|", "·": "-", "…": "~", "–": "-"}
_PLAIN |= {
    "—": "-",
    "→": ">",
    "←": "<",
    "↑": "^",
    "↓": "v",
    "°": "o",
    "×": "x",
    "\N{RIGHT SINGLE QUOTATION MARK}": "'",
}
_PLAIN |= dict(zip("●○■□▲△◆◇▼▽", "*o@0^/%&v\\", strict=True))
_LINES, _BLOCKS, _DOTS = range(0x2500, 0x2580), range(0x2580, 0x25A0), range(0x2800, 0x2900)


def adapt_output() -> None:
    """Let standard output and standard error print what their encoding lacks as the nearest sign of ASCII.

    Each character gives one, so that drawings keep their shape.
    """
    codecs.register_error(_ERRORS, _as_plain)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors=_ERRORS)


def _as_plain(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    lacking = error.object[error.start : error.end]
    return "".join(map(_plain, lacking)), error.end


def _plain(character: str) -> str:
    code = ord(character)
    if character in _PLAIN:
        return _PLAIN[character]
    if code in _LINES:
        return "+"
    return "#" if code in _BLOCKS or code in _DOTS else "?"


def print_error(message: str, code: int) -> int:
    """Print a message to standard error; returns the exit code."""
    from coach.toml.diagnostic import printable

    print(printable(message, keep="\n\t"), file=sys.stderr)
    return code


def print_opening(plain: bool) -> None:
    """Print at once who is opening, where pages follow: read from a disk that is asleep they take seconds.

    No word of it, as the language of the client is not known yet.
    """
    if not plain and sys.stdout is not None and sys.stdout.isatty():
        print("Steady Arc ...", flush=True)


def print_result(message: str) -> int:
    """Print a message to standard output, with control characters in file names replaced; returns FINE."""
    from coach.toml.diagnostic import printable

    print(printable(message))
    return FINE


def print_wrapped(message: str) -> None:
    """Print a message to standard output; on a terminal, broken between words."""
    columns = shutil.get_terminal_size().columns if sys.stdout.isatty() else 0
    print(
        "\n".join(wrap(message, columns - 1, break_long_words=False, break_on_hyphens=False))
        if len(message) >= columns > _NARROWEST
        else message
    )


def exit_code_of(error: Exception) -> int | None:
    """The exit code of an error whose message is meant for the user; None for an internal error."""
    from coach.model.exercise import NoExercise, NoPosition
    from coach.model.no_session import NoSession
    from coach.screens.terminal import UnusableTerminal
    from coach.store.live_session import NotAdmitted, SaveFailed
    from coach.store.lock import InUse
    from coach.toml.diagnostic import FileFault, Refusal

    codes: dict[type[Exception], int] = {
        FileFault: FAULTS,
        SaveFailed: FAULTS,
        Refusal: USAGE,
        NoPosition: USAGE,  # a subclass of NoSession, so it comes first: the position was asked for
        NoSession: FAULTS,
        NoExercise: FAULTS,
        InUse: NOT_NOW,
        NotAdmitted: NOT_NOW,
        UnusableTerminal: USAGE,
    }
    return next((code for kind, code in codes.items() if isinstance(error, kind)), None)


def message_of(error: Exception) -> str:
    """The message of an error that has an exit code, with what to do where it does not say that itself."""
    from coach.store.live_session import SaveFailed
    from coach.system import to_write_again

    to_do = f"{to_write_again()}; then start again: what was confirmed is kept"
    return f"{error}\n  to do: {to_do}" if isinstance(error, SaveFailed) else str(error)


def write_file(path: Path, data: bytes, message: str) -> int:
    """Write a new file and print the message with its {file}; returns the exit code. Raises FileFault."""
    from coach.model.message_format import fill
    from coach.toml.new_file import write_new

    write_new(path, data)
    return print_result(fill(message, {"file": path}))


def says_yes(answer: str, yes_key: str) -> bool:
    """Whether an answer is the key for yes, in English or the client's language, once or doubled, but not held."""
    return answer.strip().casefold() in {key * times for key in ("y", yes_key) for times in (1, 2)}
