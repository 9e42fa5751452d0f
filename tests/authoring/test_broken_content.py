"""Mistakes that somebody who writes content makes, and the first thing that the check says of each.

The cases are in broken_content.toml, those of somebody who knows only the guide in more_broken_content.toml, and
those that would make a session unsafe in unsafe_content.toml. In a copy of the content, or of a clinic's folder,
`old` becomes `new` where it first stands in `file`, or the file is
renamed or removed. `told` is the file and the first line of what is told, `at` what stands there, `fix` what it says
to do, and `count` the number of faults, where one mistake is told as more than one. A `note` is no fault.
"""

import shutil
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from coach.authoring.check_clinic import check_clinic
from coach.authoring.check_content import check_content
from coach.authoring.check_wording import wording_notes
from coach.content_files.content_folder import content_folder
from coach.toml.diagnostic import Diagnostic, render
from tests.authoring.test_own_entries import write_clinic

Case = dict[str, Any]
HERE = Path(__file__).parent
CASES: list[Case] = tomllib.loads((HERE / "broken_content.toml").read_text(encoding="utf-8"))["case"]
MORE: list[Case] = tomllib.loads((HERE / "more_broken_content.toml").read_text(encoding="utf-8"))["case"]
UNSAFE: list[Case] = tomllib.loads((HERE / "unsafe_content.toml").read_text(encoding="utf-8"))["case"]
CLINIC_FILES = {
    "limits.toml": "format = 1\n[limits]\npain_max = 3\n",
    "clinic.toml": 'format = 1\nname = "Harbour Lane"\naddress = ["1 Harbour Lane"]\nphone = "555 0100"\n',
    "en/safety.toml": 'format = 1\ncautions = ["Take your rings off."]\n',
    "en/letter.toml": 'format = 1\n[referrer]\ntitle = "Report on {profile}"\nopening = ["{profile}, {goal}"]\n',
    "de/row.toml": 'format = 1\n[[position.0.cues]]\nfault = "elbow_behind"\ntext = "Bis zur Seite."\n',
}


def name_of(case: Case) -> str:
    return f"{case['file']} {case['told'].partition(': ')[2]}"


def break_content(folder: Path, case: Case) -> None:
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


@pytest.fixture(scope="module")
def folders(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A copy of the content, and a clinic's folder; each case makes them right again."""
    content = tmp_path_factory.mktemp("mistakes") / "content"
    shutil.copytree(content_folder(), content, ignore=shutil.ignore_patterns("schema"))
    clinic = content.parent / "clients" / "clinic"
    write_clinic(clinic, CLINIC_FILES)
    return content, clinic


@pytest.fixture
def broken(folders: tuple[Path, Path], request: pytest.FixtureRequest) -> Iterator[tuple[Path, Case]]:
    """The folder with the mistake of one case."""
    case: Case = request.param
    folder = folders[bool(case.get("clinic", False))]
    path = folder / case["file"]
    before = path.read_bytes() if path.is_file() else None
    break_content(folder, case)
    yield folder, case
    if "rename" in case:
        (folder / case["rename"]).rename(path)
    elif before is not None:
        path.write_bytes(before)


def look(folder: Path, case: Case) -> tuple[Diagnostic, ...]:
    faults = check_clinic(folder) if case.get("clinic", False) else check_content(folder)
    return tuple(wording_notes(folder)) if case.get("note", False) and not faults else faults


def told_by_its_cause(folder: Path, case: Case) -> None:
    faults = look(folder, case)
    first = faults[0]
    place = f"{first.path}:{first.line}:{first.column}" if first.line else str(first.path)
    assert render(first).split("\n")[0] == f"{place}: {first.what}"
    assert f"{first.path.relative_to(folder)}: {first.what}" == case["told"]
    assert first.text[first.column - 1 :].startswith(case["at"]) if first.line else not case["at"]
    assert first.fix == case["fix"]
    assert len(faults) == case.get("count", 1), "\n".join(map(render, faults))


def test_what_a_case_changes_is_there(folders: tuple[Path, Path]) -> None:
    """Those that are seldom made would else be found to have gone when somebody runs the long tests."""
    changed = [one for one in (*CASES, *MORE, *UNSAFE) if "old" in one]
    texts = {(one["file"], bool(one.get("clinic", False))) for one in changed}
    found = {(name, of): (folders[of] / name).read_text(encoding="utf-8") for name, of in texts}
    assert [
        name_of(one) for one in changed if one["old"] not in found[one["file"], bool(one.get("clinic", False))]
    ] == []


@pytest.mark.parametrize("broken", CASES, ids=name_of, indirect=True)
def test_a_mistake_in_content_is_told_by_its_cause(broken: tuple[Path, Case]) -> None:
    told_by_its_cause(*broken)


@pytest.mark.parametrize("broken", UNSAFE, ids=name_of, indirect=True)
def test_an_edit_that_makes_a_session_unsafe_is_a_fault(broken: tuple[Path, Case]) -> None:
    told_by_its_cause(*broken)


@pytest.mark.parametrize(
    "broken",
    [pytest.param(one, marks=[pytest.mark.long] * one.get("seldom", False), id=name_of(one)) for one in MORE],
    indirect=True,
)
def test_a_mistake_of_somebody_who_knows_the_guide_is_told_by_its_cause(broken: tuple[Path, Case]) -> None:
    told_by_its_cause(*broken)
