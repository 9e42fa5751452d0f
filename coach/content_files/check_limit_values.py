"""The check of limits against what their units can mean, and against each other."""

import re
from collections.abc import Iterator
from pathlib import Path

from coach.content_files.content_folder import LIMITS
from coach.content_files.limit_checks import is_part_of_one, not_rising
from coach.model.content import Content
from coach.toml.diagnostic import Diagnostic
from coach.toml.source_file import SourceFile

# What a unit can mean at most: a word of it, the most, and what to write instead of more.
_MOST: tuple[tuple[re.Pattern[str], float, str], ...] = (
    (
        re.compile(r"^(?!sessions|days|weeks|check-ins|clean sets).*\b(fraction|share|chance)\b"),
        3,
        "write 0.1 for 10 %",
    ),
    (re.compile(r"\b0 to 10\b"), 10, "the scale ends at 10"),
    (re.compile(r"^degrees\b"), 180, "write degrees"),
    (re.compile(r"^metres\b"), 3, "write metres: 0.05 for 5 cm"),
)


def check_limit_values(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """Each value and bound is one that its unit can have, and limits that follow each other are in order."""
    source = SourceFile(folder / LIMITS)
    numbers = {limit.name: index for index, limit in enumerate(content.limits)}
    values = {limit.name: limit.value for limit in content.limits}
    for index, limit in enumerate(content.limits):
        for key, value in (("value", limit.value), ("low", limit.low), ("high", limit.high)):
            over = next(((most, fix) for unit, most, fix in _MOST if unit.search(limit.unit) and value > most), None)
            if over is not None:
                what = f"{key} {value:g} of {limit.name} is more than its unit can mean"
                yield source.at_value(("limit", index, key), what, f"{limit.unit}: at most {over[0]:g}", over[1])
                break
            if is_part_of_one(limit, value):
                what = f"{key} {value:g} of {limit.name} is not a whole number"
                yield source.at_value(
                    ("limit", index, key), what, f"whole {limit.unit}", "write it without a fraction"
                )
                break
    for lower, upper in not_rising(values):
        what = f"{lower} = {values[lower]:g} is more than {upper} = {values[upper]:g}"
        at = ("limit", numbers[lower], "value")
        yield source.at_value(at, what, f"at most {values[upper]:g}", f"lower {lower}, or raise {upper}")
