"""Every name that code asks content for is declared, so that the check can walk the declarations."""

import ast
import tomllib
from pathlib import Path
from typing import get_args

import pytest
from msgspec.structs import replace

from coach.authoring.check_content import check_content
from coach.content_files.check_entries import READ_BY_NAME, check_read_by_name
from coach.content_files.content_folder import ContentFiles, content_folder, load_content
from coach.model.content_entries import LimitName
from coach.model.messages.client import ScreenQuestion
from coach.model.messages.entries import Change, Missing, Trouble
from coach.progression import check_in_conditions, session_conditions
from coach.progression.condition_numbers import (
    ALWAYS,
    CONDITION_NUMBERS,
    NEEDS_WITH_LIMIT,
    NEEDS_WITH_RULES,
)
from coach.progression.effects import EFFECTS
from coach.progression.facts import EQUIPMENT
from coach.progression.needs import NEED_TESTS
from coach.progression.pain_reports import PAIN_TROUBLES
from coach.progression.session_conditions import CONDITIONS
from coach.toml.diagnostic import FileFault
from tests.authoring.test_check import folder, spoil

__all__ = ["folder"]

COACH = Path(__file__).parents[2] / "coach"


def read_limits() -> set[str]:
    """Every name that code looks up in a mapping called limits."""
    names: set[str] = set()
    for module in COACH.rglob("*.py"):
        for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Subscript) and isinstance(node.slice, ast.Constant):
                mapping = node.value
                called = mapping.attr if isinstance(mapping, ast.Attribute) else getattr(mapping, "id", "")
                if isinstance(mapping, ast.Call) and isinstance(mapping.func, ast.Attribute):
                    called = mapping.func.attr
                if called in ("limits", "_limits") and isinstance(node.slice.value, str):
                    names.add(node.slice.value)
    return names


def test_each_limit_that_code_reads_is_declared() -> None:
    read = read_limits()
    assert len(read) > 20
    assert read <= set(get_args(LimitName))


def test_each_declared_limit_is_named_in_code_or_by_a_need() -> None:
    code = "\n".join(
        module.read_text(encoding="utf-8") for module in COACH.rglob("*.py") if module.name != "content_entries.py"
    )
    needs = tomllib.loads((content_folder() / "caseload.toml").read_text(encoding="utf-8"))["need"]
    named = {need.get("limit") for need in needs}
    assert {name for name in get_args(LimitName) if f'"{name}"' not in code and name not in named} == set()


def test_each_entry_that_the_program_reads_is_missed_when_it_is_not_there() -> None:
    files, content = ContentFiles(content_folder()), load_content(content_folder(), "en")
    assert list(check_read_by_name(files, content)) == []
    for kind, name in READ_BY_NAME:
        kept: dict[str, object] = {
            "limits": tuple(one for one in content.limits if one.name != name),
            "signs": tuple(one for one in content.signs if one.name != name),
        }
        (fault,) = check_read_by_name(files, replace(content, **kept))
        assert fault.what == f"the {kind} {name} is missing, and the program reads it"


@pytest.mark.parametrize("name", ["pain_max", "gap_s", "irritability_days"])  # of a rule, of code alone, of a need
def test_a_limit_that_is_deleted_or_misspelt_is_told_first_and_at_limits(folder: Path, name: str) -> None:
    spoil(folder / "limits.toml", f'name = "{name}"', f'name = "{name}x"')
    first, *others = check_content(folder)
    assert first.path == folder / "limits.toml"
    assert name in first.what
    assert others == []
    with pytest.raises(FileFault, match=name):
        load_content(folder, "en")
    text = (folder / "limits.toml").read_text(encoding="utf-8").replace(f'name = "{name}x"', f'name = "{name}"')
    kept = [block for block in text.split("[[limit]]") if f'name = "{name}"' not in block]
    (folder / "limits.toml").write_text("[[limit]]".join(kept), encoding="utf-8")
    assert name in check_content(folder)[0].what
    with pytest.raises(FileFault, match=name):
        load_content(folder, "en")


def numbers_of(function: ast.FunctionDef) -> set[str]:
    """The keys of the mappings that a condition returns."""
    returned = [node.value for node in ast.walk(function) if isinstance(node, ast.Return) and node.value is not None]
    keys = [key for value in returned for one in ast.walk(value) if isinstance(one, ast.Dict) for key in one.keys]
    return {str(key.value) for key in keys if isinstance(key, ast.Constant)}


def test_the_numbers_of_each_condition_are_those_that_its_code_returns() -> None:
    found: dict[str, set[str]] = {}
    for module in (check_in_conditions, session_conditions):
        for node in ast.parse(Path(str(module.__file__)).read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef):
                found[node.name] = numbers_of(node)
    rising = found["_risen_by"]
    expected = {name: found[name] or (rising if name.startswith("pain_rising") else set()) for name in CONDITIONS}
    assert {name: set(numbers) for name, numbers in CONDITION_NUMBERS.items()} == expected


def test_the_declared_names_are_those_of_the_program() -> None:
    assert set(CONDITIONS) >= ALWAYS
    assert set(NEED_TESTS) >= NEEDS_WITH_LIMIT | NEEDS_WITH_RULES
    assert {EQUIPMENT, *PAIN_TROUBLES} < set(get_args(Trouble))
    rules = load_content(content_folder(), "en").messages.rules
    assert set(rules.change) == set(get_args(Change))
    assert set(rules.missing) == set(get_args(Missing))
    assert set(load_content(content_folder(), "en").messages.client.question) == set(get_args(ScreenQuestion))
    assert EFFECTS
