"""Faults as JSON for editors and builds, with stable keys."""

import json
from collections.abc import Iterable

from coach.toml.diagnostic import Diagnostic


def faults_json(faults: Iterable[Diagnostic]) -> str:
    """The faults as a JSON list of objects in the given order; an empty list if there are none.

    `line` and `column` count from 1, columns in characters; both are null for a fault of the whole file. `text` is
    the line itself; `also` lists the places that are wrong because of the same fault. Values that do not apply are
    null. Reading ease is left out: it is not a fault, and a build would fail because of it.
    """
    return json.dumps([_table(fault) for fault in faults], indent=2)


def _table(fault: Diagnostic) -> dict[str, str | int | list[str] | None]:
    return {
        "file": str(fault.path),
        "line": fault.line or None,
        "column": fault.column or None,
        "what": fault.what,
        "expected": fault.expected or None,
        "nearest": fault.nearest,
        "mend": fault.fix or None,
        "also": list(fault.also),
        "text": fault.text if fault.line else None,
    }
