"""The check of the needs of a caseload: whether they fit the rules, the limits and the tests."""

from collections.abc import Iterator
from pathlib import Path

from msgspec.structs import replace

from coach.authoring.check_placeholders import texts_in_file
from coach.content_files.caseload_needs import NEEDS
from coach.content_files.check_messages import missing_and_unknown
from coach.content_files.content_folder import THERAPIST, languages
from coach.model.caseload import Needs
from coach.model.content import Content
from coach.progression.condition_numbers import NEEDS_WITH_LIMIT, NEEDS_WITH_RULES
from coach.progression.needs import NEED_TESTS
from coach.toml.diagnostic import Diagnostic, FileFault
from coach.toml.expected import KeyPath
from coach.toml.reader import read_model
from coach.toml.source_file import SourceFile


def check_needs(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """A fault for each name in caseload.toml that does not exist or is used twice."""
    try:
        needs = read_model(folder / NEEDS, Needs).need
    except FileFault as fault:
        yield from fault.faults
        return
    source = SourceFile(folder / NEEDS)
    rules = [rule.name for rule in content.rules]
    limits = [limit.name for limit in content.limits]
    for index, need in enumerate(needs):
        named: list[tuple[KeyPath, str, str, list[str]]] = [(("when",), "test", need.when, list(NEED_TESTS))]
        named += [(("rules", number), "rule", rule, rules) for number, rule in enumerate(need.rules)]
        named += [(("limit",), "limit", need.limit, limits)] if need.limit is not None else []
        for key, kind, name, known in named:
            if name not in known:
                what, taken = f"there is no {kind} {name}", need.rules if kind == "rule" else ()
                yield source.unknown_value(("need", index, *key), what, name, known, kind=kind, taken=taken)
        for missing, needed, has in (
            ("limit", need.when in NEEDS_WITH_LIMIT, need.limit is not None),
            ("rules", need.when in NEEDS_WITH_RULES, bool(need.rules)),
        ):
            if needed and not has:
                what = f"the need {need.name} has no {missing}, which the test {need.when} reads"
                yield source.at_key(("need", index), what, f"a line {missing} = …", "add the line")
        if need.name in [other.name for other in needs[:index]]:
            what, fix = f"a second need is called {need.name}", "give one of them another name"
            yield source.at_value(("need", index, "name"), what, "each name once", fix)


def check_need_messages(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """Each need has its message, and each message its need."""
    try:
        needs, messages = read_model(folder / NEEDS, Needs).need, content.messages.therapist.caseload
    except FileFault:
        return  # reported by the other checks
    names = [need.name for need in needs]
    without, extra = [name for name in names if name not in messages.need], set(messages.need) - set(names)
    if len(without) == len(extra) == 1 and _in_every_language(folder, *extra):  # one need under two names
        (here,), (there,) = without, extra
        what, key = f"the need is called {here} here and {there} in the messages", ("need", names.index(here), "name")
        found = SourceFile(folder / NEEDS).at_value(key, what, f"the name {there}", f"write {there}", there)
        yield replace(found, about=("need", there))
        return
    source = SourceFile(folder / content.messages.language / THERAPIST)
    yield from missing_and_unknown(source, ("caseload", "need"), "need", [need.name for need in needs], messages.need)


def _in_every_language(folder: Path, need: str) -> bool:
    """Whether there are several languages and each has a message for a need of this name."""
    files = [folder / language / THERAPIST for language in languages(folder)]
    return len(files) > 1 and all(any(at[-1] == need for at, _ in texts_in_file(path)) for path in files)
