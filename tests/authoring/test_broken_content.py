"""Mistakes that somebody who writes content makes, and the first thing that the check says of each.

The cases are in broken_content.toml. In a copy of the content `old` becomes `new` where it first stands in `file`, or
the file is renamed or removed. `told` is the file and the first line of what is told, `at` what stands there, `fix`
what it says to do, and `count` the number of faults, where one mistake is told as more than one.
"""

import shutil
import tomllib
from pathlib import Path
from typing import Any

import pytest

from coach.authoring.check_content import check_content
from coach.content_files.content_folder import content_folder
from coach.toml.diagnostic import render

CASES = tomllib.loads((Path(__file__).parent / "broken_content.toml").read_text(encoding="utf-8"))["case"]


def name_of(case: dict[str, Any]) -> str:
    return f"{case['file']} {case['told'].partition(': ')[2]}"


def break_content(folder: Path, case: dict[str, Any]) -> None:
    """Make the mistake of a case in a content folder."""
    path = folder / case["file"]
    if "rename" in case:
        path.rename(folder / case["rename"])
    elif case.get("remove", False):
        path.unlink()
    else:
        text = path.read_text(encoding="utf-8")
        assert case["old"] in text
        path.write_text(text.replace(case["old"], case["new"], 1), encoding="utf-8")


@pytest.mark.parametrize("case", CASES, ids=name_of)
def test_a_mistake_in_content_is_told_by_its_cause(case: dict[str, Any], tmp_path: Path) -> None:
    folder = Path(shutil.copytree(content_folder(), tmp_path / "content", ignore=shutil.ignore_patterns("schema")))
    break_content(folder, case)
    faults = check_content(folder)
    first = faults[0]
    place = f"{first.path}:{first.line}:{first.column}" if first.line else str(first.path)
    assert render(first).split("\n")[0] == f"{place}: {first.what}"
    assert f"{first.path.relative_to(folder)}: {first.what}" == case["told"]
    assert first.text[first.column - 1 :].startswith(case["at"]) if first.line else not case["at"]
    assert first.fix == case["fix"]
    assert len(faults) == case.get("count", 1), "\n".join(map(render, faults))
