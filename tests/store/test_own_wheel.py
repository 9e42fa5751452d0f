"""The program gives a wheel of itself: from its tree, and from what was installed, and both install the same."""

import subprocess
import sys
import tomllib
import zipfile
from email.parser import Parser
from pathlib import Path

import pytest

from coach import __version__
from coach.store.home.own_wheel import own_wheel
from coach.toml.diagnostic import FileFault
from tests.demo.pristine import TREE

# What an installed program says of itself: as it is; as a copy that is run in its place; and with a file changed.
_ASK = """
import sys
from pathlib import Path
installed, copy, made = map(Path, sys.argv[1:])
sys.path.insert(0, str(installed))
import coach
from coach.store.home.own_wheel import own_wheel
from coach.toml.diagnostic import FileFault
own = own_wheel()
made.write_bytes(own.data)
print(own.tree)
def refusal():
    try:
        return own_wheel()
    except FileFault as fault:
        return str(fault).splitlines()[0]
where, coach.__file__ = coach.__file__, str(copy / "coach" / "__init__.py")
print(refusal())
coach.__file__ = where
(installed / "coach" / "content" / "limits.toml").write_text("format = 1")
print(refusal())
"""


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = own_wheel()
    assert made.tree == TREE
    path = tmp_path_factory.mktemp("wheel") / made.name
    path.write_bytes(made.data)
    return path


def installed(wheel: Path, folder: Path) -> Path:
    """The wheel unpacked, as pip does with one that is the same for every system; .ci/smoke has pip do it."""
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder)
    return folder


def held(wheel: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(wheel) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_it_says_what_the_tree_says(wheel: Path) -> None:
    project = tomllib.loads((TREE / "pyproject.toml").read_text("utf-8"))["project"]
    inside = held(wheel)
    about = f"steady_arc-{__version__}.dist-info"
    said = Parser().parsestr(inside[f"{about}/METADATA"].decode())
    assert (said["Name"], said["Version"]) == (project["name"], __version__)
    assert said.get_all("Requires-Dist") == project["dependencies"]
    assert inside[f"{about}/entry_points.txt"].decode() == "[console_scripts]\ncoach = coach.cli:main\n"
    listed = subprocess.run(
        ["git", "ls-files", "coach", "content"], cwd=TREE, capture_output=True, text=True, check=True
    )
    expected = {name if name.startswith("coach/") else f"coach/{name}" for name in listed.stdout.splitlines()}
    assert expected <= set(inside)
    assert [name for name in inside if "__pycache__" in name or name.endswith(".pyc")] == []


def test_what_is_installed_gives_the_same_wheel_again_unless_it_was_changed(wheel: Path, tmp_path: Path) -> None:
    """It makes a wheel of the same files; what goes before it may be anything, and what was changed as well."""
    first, again = installed(wheel, tmp_path / "first"), tmp_path / wheel.name
    (tmp_path / "copy" / "coach").mkdir(parents=True)
    command = [sys.executable, "-I", "-c", _ASK, str(first), str(tmp_path / "copy"), str(again)]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=True)
    tree, copied, changed = done.stdout.splitlines()
    assert tree == "None"
    assert copied.endswith("this program was not installed, so there is nothing to install at home")
    assert changed.endswith("limits.toml: this file of the program was changed since it was installed")
    one, other = held(wheel), held(again)
    assert {name for name in one if one[name] != other.get(name)} <= {
        name for name in one if name.endswith("/RECORD")
    }
    assert set(other) == set(one)
    assert other["coach/cli.py"] == (TREE / "coach" / "cli.py").read_bytes()


def test_what_was_never_installed_has_no_wheel(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A copy of the package alone; what is installed beside it is another."""
    (tmp_path / "coach").mkdir()
    monkeypatch.setattr("coach.__file__", str(tmp_path / "coach" / "__init__.py"))
    with pytest.raises(FileFault, match="this program was not installed"):
        own_wheel()
