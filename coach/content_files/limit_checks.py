"""The check of changed limits: whether they exist and are within their hard bounds."""

from collections.abc import Iterable, Iterator, Mapping

from coach.model.content_entries import Limit
from coach.toml.diagnostic import Diagnostic
from coach.toml.source_file import SourceFile


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
