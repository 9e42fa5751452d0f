"""Each control of the hazard log is there, and each one taken away is noticed.

The table: python -m tests.authoring.hazard_table.
"""

import shutil
from pathlib import Path

import pytest

from coach.authoring.check_hazards import HAZARDS, check_hazards
from coach.authoring.hazard_log import kind_and_name
from coach.content_files.caseload_needs import NEEDS
from coach.content_files.content_folder import content_folder
from tests.authoring.hazard_table import CONTROLS, TESTS, limits_read, row, unname
from tests.plans import shipped


def test_the_hazard_log_of_the_program_is_right() -> None:
    assert list(check_hazards(content_folder(), shipped())) == []


@pytest.mark.parametrize("control", CONTROLS)
def test_a_control_that_is_taken_away_is_noticed(control: str) -> None:
    """Alone by the check of the hazard log, which names it; gone from the log as well, by another check or a test."""
    found = row(control)
    kind, name = kind_and_name(control)
    assert name in found.alone or kind == "caution"
    assert found.alone
    assert found.noticed_by


def test_the_tests_that_are_controls_stand_in_the_log() -> None:
    assert sorted(f"test:{name}" for name in TESTS) == [one for one in CONTROLS if one.startswith("test:")]


def test_every_limit_that_the_program_reads_is_in_the_content() -> None:
    assert limits_read() - {limit.name for limit in shipped().limits} == set()


@pytest.mark.parametrize("control", [one for one in CONTROLS if one.startswith(("rule:", "check:", "sign:"))])
def test_what_protects_and_no_hazard_names_is_noticed(control: str, tmp_path: Path) -> None:
    for name in (HAZARDS, NEEDS):  # the content is as shipped: the log and the needs are not part of it
        shutil.copy(content_folder() / name, tmp_path / name)
    unname(control, tmp_path)
    content = shipped()
    kind, name = kind_and_name(control)
    raises = {rule.name for rule in content.rules if rule.then == "suggest_position"}
    found = [fault.what for fault in check_hazards(tmp_path, content) if "no hazard names" in fault.what]
    assert found == ([] if name in raises else [f"no hazard names the {kind} {name}"])
