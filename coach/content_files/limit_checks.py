"""The check of changed limits: whether they exist, are within their hard bounds, and still follow each other."""

import re
from collections.abc import Iterable, Iterator, Mapping

from coach.model.content_entries import Limit, LimitName
from coach.toml.diagnostic import Diagnostic
from coach.toml.source_file import SourceFile

# The first of each pair must not exceed the second.
_RISING: tuple[tuple[LimitName, LimitName], ...] = (
    ("load_rise_min", "load_rise_max"),
    ("first_step_low", "first_step_high"),
    ("long_gap_days", "longer_gap_days"),
    ("longer_gap_days", "gap_measure_days"),
    ("longer_gap_load", "long_gap_load"),
    ("pain_rise_tell", "pain_rise_regress"),
    ("cue_each_set_until", "cue_first_set_until"),
    ("pace_phases_from", "pace_ends_from"),
    ("pace_ends_from", "pace_none_from"),
    ("usual_check_ins", "usual_days"),
)
# Units that are counted.
_WHOLE = re.compile(r"^(sessions|check-ins|clean sets|repetitions|stops|form questions|faults shown)\b(?!.*fraction)")


def is_part_of_one(limit: Limit, value: float) -> bool:
    """Whether a value has a fraction although what the limit counts has none."""
    return _WHOLE.match(limit.unit) is not None and value != int(value)


def not_rising(values: Mapping[str, float]) -> Iterator[tuple[LimitName, LimitName]]:
    """Each pair of limits of which the first must not exceed the second, and does."""
    for lower, upper in _RISING:
        if lower in values and upper in values and values[lower] > values[upper]:
            yield lower, upper


def limit_faults(moved: Mapping[str, float], limits: Iterable[Limit], source: SourceFile) -> Iterator[Diagnostic]:
    """A fault for each unknown name and each value out of bounds under [limits] of a file."""
    known = {limit.name: limit for limit in limits}
    for name, value in moved.items():
        limit = known.get(name)
        if limit is None:
            yield source.unknown_key(
                ("limits", name), f"there is no limit {name}", known, "write one of them, or remove the line"
            )
        elif not limit.low <= value <= limit.high:
            side, bound = ("above", limit.high) if value > limit.high else ("below", limit.low)
            what = f"{name} = {value:g} is {side} the hard bound {bound:g}"
            expected = f"from {limit.low:g} to {limit.high:g} ({limit.unit})"
            yield source.at_value(("limits", name), what, expected, f"write {bound:g} or a value within the bounds")
        elif is_part_of_one(limit, value):
            what, expected = f"{name} = {value:g} is not a whole number", f"whole {limit.unit}"
            yield source.at_value(("limits", name), what, expected, "write it without a fraction")


def limit_order_faults(
    moved: Mapping[str, float], limits: Iterable[Limit], source: SourceFile
) -> Iterator[Diagnostic]:
    """A fault for each limit under [limits] of a file by which two limits no longer follow each other.

    No session is refused for it, since each is within its bounds: the check alone tells it.
    """
    values = {**{limit.name: limit.value for limit in limits}, **moved}
    for lower, upper in not_rising(values):
        at, side, other = (lower, "more", upper) if lower in moved else (upper, "less", lower)
        if at in moved:
            what = f"{at} = {values[at]:g} is {side} than {other} = {values[other]:g}"
            expected = f"at {'most' if at == lower else 'least'} {values[other]:g}, as long as {other} is that"
            yield source.at_value(("limits", at), what, expected, f"change {at}, or set {other} here as well")
