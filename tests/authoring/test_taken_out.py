"""What the check says where an entry was taken out, its test is misspelt, or a copy of a file was left: the cause."""

import re
import shutil
from pathlib import Path

import pytest

from coach.authoring.check_content import check_content
from coach.content_files.content_folder import content_folder
from tests.authoring.test_check import spoil


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the content."""
    return Path(shutil.copytree(content_folder(), tmp_path / "content", ignore=shutil.ignore_patterns("schema")))


def take_out(folder: Path, rule: str, *, words: bool) -> None:
    """Take a rule out of rules.toml; with `words` out of each language and the hazard log as well."""
    path = folder / "rules.toml"
    entries = path.read_text(encoding="utf-8").split("\n[[")
    path.write_text("\n[[".join(one for one in entries if f'name = "{rule}"' not in one), encoding="utf-8")
    for language in ("en", "de") if words else ():
        path = folder / language / "rules.toml"
        tables = re.split(r"(?m)^(?=\[)", path.read_text(encoding="utf-8"))
        kept = [one for one in tables if not re.match(rf"\[rule\.{rule}[.\]]", one)]
        assert len(kept) < len(tables)
        path.write_text("".join(kept), encoding="utf-8")
    path = folder / "hazards.toml"
    text = path.read_text(encoding="utf-8")
    if words:
        path.write_text(text.replace(f'"rule:{rule}", ', "").replace(f', "rule:{rule}"', ""), encoding="utf-8")


@pytest.mark.parametrize("rule", ["pain_stop_again", "not_settled"])
def test_no_other_name_is_advised_for_a_rule_that_was_taken_out(folder: Path, rule: str) -> None:
    take_out(folder, rule, words=True)
    told = [fault for fault in check_content(folder) if fault.about == ("rule", rule)]
    what = f"the rule {rule} was taken out, and is still named here"
    assert [(fault.path.name, fault.what, fault.nearest) for fault in told] == [("caseload.toml", what, None)]


def test_no_other_control_is_advised_for_a_rule_that_was_taken_out(folder: Path) -> None:
    take_out(folder, "second_today", words=True)
    hazards = folder / "hazards.toml"
    hazards.write_bytes((content_folder() / "hazards.toml").read_bytes())
    (fault,) = check_content(folder)
    assert (fault.path.name, fault.nearest) == ("hazards.toml", None)
    assert fault.what == "the rule second_today was taken out, and is still named here"


def test_the_other_files_that_use_it_are_named(folder: Path) -> None:
    take_out(folder, "pain_stop_again", words=False)
    (fault,) = check_content(folder)
    assert fault.what == "the rule pain_stop_again is not here, and other files use it"
    assert {place.partition(":")[0] for place in fault.also} >= {"caseload.toml", "en/rules.toml"}


def test_a_misspelt_test_of_a_rule_is_told_alone(folder: Path) -> None:
    """That nothing is done at the test it means only follows."""
    spoil(folder / "rules.toml", 'when = "pain_over_limit"', 'when = "pain_over_limt"')
    assert [(fault.what, fault.nearest) for fault in check_content(folder)] == [
        ("there is no test pain_over_limt", "pain_over_limit")
    ]


def test_a_copy_that_was_left_in_the_folder_is_told_alone(folder: Path) -> None:
    (folder / "en" / "safety copy.toml").write_bytes((folder / "en" / "safety.toml").read_bytes())
    assert [fault.what for fault in check_content(folder)] == ["this is a copy of safety.toml, and says the same"]
