"""The days in what is about to be signed, compared with the day of signing.

Files are read whatever days they hold, since what was signed stays as it is. Only a new signature is refused.
"""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

from coach.model.instruction import Instruction
from coach.toml.diagnostic import Diagnostic, whole_file


def check_freeze(instruction: Instruction, today: date, path: Path) -> Iterator[Diagnostic]:
    """A freeze of the load until a day that is over: it would freeze nothing, and end a freeze in force."""
    until = instruction.until
    if until is not None and until < today:
        what = f"until is {until}, a day that is over: the load would not be frozen"
        expected = f"{today}, which is today, or a later day"
        yield whole_file(path, what, expected, "write the last day of the freeze; to end a freeze, sign lift_freeze")
