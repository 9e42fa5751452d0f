"""What was typed cannot be taken: why, what was expected, and what to do. Nothing was written."""

from collections.abc import Iterable

from coach.files.diagnostic import Diagnostic


class Refusal(Exception):
    """One or more reasons. A reason has no place in a file: what it is about was never in one."""

    def __init__(self, faults: Iterable[Diagnostic]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(in_words(fault) for fault in self.faults))


def in_words(fault: Diagnostic) -> str:
    """A fault without the place of a file."""
    parts = [fault.what]
    if fault.expected:
        parts.append(f"  expected: {fault.expected}")
    if fault.nearest:
        parts.append(f"  nearest: {fault.nearest}")
    if fault.mend:
        parts.append(f"  to do: {fault.mend}")
    return "\n".join(parts)
