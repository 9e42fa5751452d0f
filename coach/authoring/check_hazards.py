"""Whether the hazard log fits the content: each control exists, and everything that protects is named by a hazard."""

from collections.abc import Collection, Iterator, Mapping
from pathlib import Path
from typing import get_args

from msgspec.structs import replace

from coach.authoring.hazard_log import Hazards, Probability, kind_and_name
from coach.content_files.caseload_needs import NEEDS
from coach.model.caseload import Needs
from coach.model.content import Content
from coach.model.content_entries import Effect
from coach.toml.diagnostic import Diagnostic, FileFault
from coach.toml.expected import KeyPath
from coach.toml.nearest_name import nearest_name
from coach.toml.reader import read_model
from coach.toml.source_file import SourceFile

HAZARDS = "hazards.toml"
_PROBABILITIES = get_args(Probability)  # from the least
_RAISES: frozenset[Effect] = frozenset({"repetitions_up", "load_up", "suggest_position", "complete"})


def check_hazards(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """Every control that does not exist, and every rule, check and sign that protects and that no hazard names."""
    try:
        hazards = read_model(folder / HAZARDS, Hazards).hazard
    except FileFault as fault:
        yield from fault.faults
        return
    source, known = SourceFile(folder / HAZARDS), _known(folder, content)
    named = {control for hazard in hazards for control in hazard.controls}
    protecting = set(_protecting(content))
    meant: set[str | None] = set()  # by a control that does not exist
    for index, hazard in enumerate(hazards):
        for number, control in enumerate(hazard.controls):
            kind, name = kind_and_name(control)
            if kind == "need" and not known["need"]:
                continue  # that file has a fault of its own
            if not (_test_exists(folder, name) if kind == "test" else name in known[kind]):
                others = [f"{kind}:{one}" for one in known.get(kind, ())]
                key = ("hazard", index, "controls", number)
                what = f"there is no {kind} {name}"
                found = source.unknown_value(key, what, control, others, taken=hazard.controls)
                yield replace(found, about=(kind, name))
                meant.add(nearest_name(control, sorted(protecting - named)))
        before, after = (_PROBABILITIES.index(one) for one in (hazard.probability, hazard.residual_probability))
        if after > before:
            what = (
                f"with its controls {hazard.name} is {hazard.residual_probability}, without them {hazard.probability}"
            )
            at: KeyPath = ("hazard", index, "residual_probability")
            yield source.at_value(at, what, "no more than without them", f'write "{hazard.probability}" or less')
        if hazard.name in [other.name for other in hazards[:index]]:
            what, fix = f"a second hazard is called {hazard.name}", "give one of them another name"
            yield source.at_value(("hazard", index, "name"), what, "each name once", fix)
    for control in _protecting(content):
        if control not in named and control not in meant:
            kind, name = kind_and_name(control)
            what, fix = f"no hazard names the {kind} {name}", f"add {control} to the controls of a hazard"
            found = source.at_key(("hazard",), what, "each rule that protects, each check and each sign", fix)
            yield replace(found, about=(kind, name))


def _protecting(content: Content) -> Iterator[str]:
    """Each rule that stops, lowers, holds or tells, each check, and each warning sign, as a control."""
    yield from (f"rule:{rule.name}" for rule in content.rules if rule.then not in _RAISES)
    yield from (f"check:{name}" for name in content.checks)
    yield from (f"sign:{sign.name}" for sign in content.signs)


def _known(folder: Path, content: Content) -> Mapping[str, Collection[str]]:
    """The names that a control of each kind may have."""
    try:
        needs = [need.name for need in read_model(folder / NEEDS, Needs).need]
    except FileFault:
        needs = []
    return {
        "rule": [rule.name for rule in content.rules],
        "check": list(content.checks),
        "sign": [sign.name for sign in content.signs],
        "limit": [limit.name for limit in content.limits],
        "condition": list(content.conditions),
        "need": needs,
        "caution": ["safety", *_positions(content)],
    }


def _positions(content: Content) -> Iterator[str]:
    for name, exercise in content.exercises.items():
        yield from (f"{name}.{position}" for position in exercise.position_names)


def _test_exists(folder: Path, name: str) -> bool:
    """Whether a test of this name is in the source tree; always true where the program was installed without one."""
    file, _, function = name.partition("::")
    tests = folder.resolve().parent / "tests"
    if not tests.is_dir():
        return True
    path = tests.parent / file
    return path.is_file() and f"def {function}(" in path.read_text(encoding="utf-8")
