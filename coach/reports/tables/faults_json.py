"""Faults for an editor or a build: the same as a person reads, under keys that stay."""

import json
from collections.abc import Iterable

from coach.toml.diagnostic import Diagnostic


def faults_json(faults: Iterable[Diagnostic]) -> str:
    """The faults as a list of tables, in the order given; an empty list where all is well.

    `line` and `column` count from 1, columns in characters; both are null where the fault is one of the file as a
    whole. `text` is the line itself. What there is nothing to say about is null. How easy the words are to read is no
    fault, and stays out: whatever stands here, an editor marks and a build stops at.
    """
    return json.dumps([_table(fault) for fault in faults], ensure_ascii=False, indent=2)


def _table(fault: Diagnostic) -> dict[str, str | int | None]:
    return {
        "file": str(fault.path),
        "line": fault.line or None,
        "column": fault.column or None,
        "what": fault.what,
        "expected": fault.expected or None,
        "nearest": fault.nearest,
        "mend": fault.fix or None,
        "text": fault.text if fault.line else None,
    }
