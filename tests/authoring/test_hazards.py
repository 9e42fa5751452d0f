"""Each control of the hazard log is there, and each one taken away is noticed."""

import re
import shutil
from pathlib import Path

import pytest

from coach.authoring.check_content import check_content
from coach.authoring.check_hazards import HAZARDS, check_hazards
from coach.authoring.hazard_log import Hazards, kind_and_name
from coach.content_files.content_folder import content_folder, load_content
from coach.toml.reader import read_model

_HAZARDS = read_model(content_folder() / HAZARDS, Hazards).hazard
_CONTROLS = sorted({control for hazard in _HAZARDS for control in hazard.controls})
# What a control of each kind is an entry of; the rest is no entry of a list that can be taken away alone.
_ENTRIES = {
    "rule": ("rules.toml", "rule"),
    "limit": ("limits.toml", "limit"),
    "check": ("safety.toml", "check"),
    "sign": ("safety.toml", "sign"),
    "condition": ("conditions.toml", "condition"),
    "need": ("caseload.toml", "need"),
}


def without(text: str, table: str, name: str) -> str:
    """A file without one entry of a list."""
    parts = re.split(r"(?m)^(?=\[\[)", text)
    kept = [one for one in parts if not re.match(rf'\[\[{table}\]\]\n(#.*\n)*name = "{name}"\n', one)]
    assert len(kept) == len(parts) - 1
    return "".join(kept)


def test_the_hazard_log_of_the_program_is_right() -> None:
    content = load_content(content_folder(), "en")
    assert list(check_hazards(content_folder(), content)) == []


@pytest.mark.parametrize("control", _CONTROLS)
def test_a_control_that_is_taken_away_is_noticed(control: str, tmp_path: Path) -> None:
    kind, name = kind_and_name(control)
    folder = tmp_path / "content"
    shutil.copytree(content_folder(), folder)
    if kind in _ENTRIES:
        file, table = _ENTRIES[kind]
        path = folder / file
        path.write_text(without(path.read_text(encoding="utf-8"), table, name), encoding="utf-8")
    elif kind == "test":
        (tmp_path / "tests").mkdir()
    else:
        shutil.rmtree(folder / "exercises") if name != "safety" else (folder / "en" / "safety.toml").unlink()
    assert any(name in fault.what or kind == "caution" for fault in check_content(folder))


@pytest.mark.parametrize("control", [one for one in _CONTROLS if one.startswith(("rule:", "check:", "sign:"))])
def test_what_protects_and_no_hazard_names_is_noticed(control: str, tmp_path: Path) -> None:
    folder = tmp_path / "content"
    shutil.copytree(content_folder(), folder)
    path = folder / HAZARDS
    text = path.read_text(encoding="utf-8").replace(f', "{control}"', "").replace(f'"{control}", ', "")
    path.write_text(text.replace(f'["{control}"]', '["caution:safety"]'), encoding="utf-8")
    content = load_content(folder, "en")
    kind, name = kind_and_name(control)
    raises = {rule.name for rule in content.rules if rule.then == "suggest_position"}
    found = [fault.what for fault in check_hazards(folder, content) if "no hazard names" in fault.what]
    assert found == ([] if name in raises else [f"no hazard names the {kind} {name}"])
