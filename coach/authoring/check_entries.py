"""The check of the content files that all languages share: whether they fit each other."""

from collections.abc import Iterator, Sequence
from pathlib import Path

from coach.content_files.content_folder import (
    EXERCISES,
    FORM,
    LIMITS,
    RULES,
    SAFETY,
)
from coach.model.content import Content
from coach.model.content_entries import Form, Safety
from coach.progression.session_conditions import CONDITIONS, SET_CONDITIONS
from coach.toml.diagnostic import Diagnostic
from coach.toml.reader import read_model
from coach.toml.source_file import SourceFile


def check_names(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """Each name in a list is there once. The files are read again, as the content has only one entry for a name."""
    form, safety = read_model(folder / FORM, Form), read_model(folder / SAFETY, Safety)
    lists: tuple[tuple[str, str, Sequence[str]], ...] = (
        (LIMITS, "limit", [limit.name for limit in content.limits]),
        (RULES, "rule", [rule.name for rule in content.rules]),
        (FORM, "question", [question.name for question in form.question]),
        (SAFETY, "check", [check.name for check in safety.check]),
        (SAFETY, "sign", [sign.name for sign in safety.sign]),
        (SAFETY, "region", [region.name for region in safety.region]),
    )
    for file, kind, names in lists:
        for index, name in enumerate(names):
            if name in names[:index]:
                what, fix = f"a second {kind} is called {name}", "give one of them another name"
                yield SourceFile(folder / file).at_value((kind, index, "name"), what, "each name once", fix)


def check_exercises(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """Each exercise has the name of its file, each position is there once, and only uses names that exist."""
    for stem, exercise in content.exercises.items():
        source = SourceFile(folder / EXERCISES / f"{stem}.toml")
        if exercise.name != stem:
            what = f'name = "{exercise.name}" differs from the name of the file'
            yield source.at_value(("name",), what, f'name = "{stem}"', "give both the same name")
        degrees = [position.abduction_deg for position in exercise.positions]
        for index, position in enumerate(exercise.positions):
            if position.abduction_deg in degrees[:index]:
                what = f"there is a second position at {position.abduction_deg} degrees"
                yield source.at_value(
                    ("positions", index, "abduction_deg"), what, "each position once", "remove one of them"
                )
            for kind, named, known in (
                ("check", position.checks, content.checks),
                ("question", position.questions, content.questions),
            ):
                for number, name in enumerate(named):
                    if name not in known:
                        yield source.unknown_value(
                            ("positions", index, f"{kind}s", number), f"there is no {kind} {name}", name, known
                        )


def check_rules(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """Each rule only uses limits and a test that exist, and is tried at a level at which the test is possible."""
    source = SourceFile(folder / RULES)
    limits = [limit.name for limit in content.limits]
    for index, rule in enumerate(content.rules):
        for number, name in enumerate(rule.limits):
            if name not in limits:
                yield source.unknown_value(
                    ("rule", index, "limits", number), f"there is no limit {name}", name, limits
                )
        if rule.when not in CONDITIONS:
            yield source.unknown_value(
                ("rule", index, "when"), f"there is no test {rule.when}", rule.when, CONDITIONS
            )
        elif "set" in rule.levels and rule.when not in SET_CONDITIONS:
            what = f"{rule.when} depends on more than one set, so it cannot be tried after each"
            fix = f'remove "set", or test one of {", ".join(sorted(SET_CONDITIONS))}'
            yield source.at_value(("rule", index, "levels"), what, 'levels without "set"', fix)


def check_regions(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """The warning sign of a region exists."""
    signs = [sign.name for sign in content.signs]
    for index, region in enumerate(content.regions.values()):
        if region.sign is not None and region.sign not in signs:
            yield SourceFile(folder / SAFETY).unknown_value(
                ("region", index, "sign"), f"there is no sign {region.sign}", region.sign, signs
            )
