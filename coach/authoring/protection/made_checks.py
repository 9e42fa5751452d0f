"""The checks that a position must make: those of every shipped position with the same kind of anchor."""

from collections.abc import Iterator, Mapping
from functools import reduce

from msgspec.structs import replace

from coach.authoring.protection.as_shipped import shipped_content
from coach.content_files.content_folder import ContentFiles
from coach.model.content import Content
from coach.model.content_entries import Check
from coach.model.exercise import AnchorKind, Position
from coach.toml.diagnostic import Diagnostic
from coach.toml.expected import KeyPath
from coach.toml.source_file import SourceFile

_ANCHORS: Mapping[AnchorKind, str] = {"fixed": "a fixed anchor", "foot": "the band underfoot"}


def check_made_checks(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """A fault for each check that a position leaves out, and that every shipped one with such an anchor makes.

    A check that is `in_place_of` another counts as that one. Those that can stop a session are told elsewhere.
    """
    shipped = shipped_content()
    if shipped is None:
        return
    for stem, exercise in content.exercises.items():
        for index, position in enumerate(exercise.positions):
            path, number = files.position(stem, index)
            at = (SourceFile(path), ("positions", number, "checks"))
            yield from _left_out(at, position, content.checks, shipped) if position.checks else ()


def _left_out(
    at: tuple[SourceFile, KeyPath], position: Position, checks: Mapping[str, Check], shipped: Content
) -> Iterator[Diagnostic]:
    (source, key), made = at, _stood_for(position, checks)
    other: AnchorKind = "foot" if position.anchor == "fixed" else "fixed"
    missing, of_other = (
        [name for name in _of_every(anchor, shipped) if name not in made] for anchor in (position.anchor, other)
    )
    if missing and _of_every(other, shipped) and not of_other:
        what = f"position {position.name} makes the checks for {_ANCHORS[other]}, and has {_ANCHORS[position.anchor]}"
        fix = f'write anchor = "{other}" in this position, or make the checks for {_ANCHORS[position.anchor]}'
        expected = f"the checks {', '.join(_of_every(position.anchor, shipped))}"
        yield replace(source.at_value(key, what, expected, fix), about=("anchor", source.path.stem))
        return
    for name in missing:
        if shipped.checks[name].on_no == "stop":
            continue
        what = f"position {position.name} does not make the check {name}"
        expected = f"it in each position with {_ANCHORS[position.anchor]}, as in those of the program"
        others = [one.name for one in checks.values() if one.in_place_of == name]
        either = " or ".join(f'"{one}"' for one in (name, *others))
        yield replace(source.at_value(key, what, expected, f"add {either} to checks"), about=("check", name))


def _of_every(anchor: AnchorKind, shipped: Content) -> list[str]:
    """The checks that all shipped positions with this kind of anchor make, in the order of the checks."""
    positions = [one for exercise in shipped.exercises.values() for one in exercise.positions if one.anchor == anchor]
    made = [_stood_for(one, shipped.checks) for one in positions]
    common = reduce(frozenset.intersection, made) if made else frozenset()
    return [name for name in shipped.checks if name in common]


def _stood_for(position: Position, checks: Mapping[str, Check]) -> frozenset[str]:
    """The checks of a position, each as the one that it takes the place of."""
    return frozenset(checks[name].in_place_of or name if name in checks else name for name in position.checks)
