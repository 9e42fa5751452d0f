"""The program gives a wheel of itself: from its tree, and from what was installed, and both install the same."""

import shutil
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

_ASK = """
import sys
sys.path[:0] = sys.argv[2:]
from coach.store.home.own_wheel import own_wheel
made = own_wheel()
print(made.tree)
open(sys.argv[1], "wb").write(made.data)
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


def asked(folder: Path, to: Path, *others: Path) -> subprocess.CompletedProcess[str]:
    """The program that is installed there makes its wheel."""
    command = [sys.executable, "-I", "-c", _ASK, str(to), *map(str, (folder, *others))]
    return subprocess.run(command, cwd=to.parent, capture_output=True, text=True, check=False)


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


def test_what_is_installed_gives_the_same_wheel_again(wheel: Path, tmp_path: Path) -> None:
    """Installed from the wheel of the tree, it makes a wheel of the same files."""
    first = installed(wheel, tmp_path / "first")
    again = tmp_path / wheel.name
    done = asked(first, again)
    assert (done.returncode, done.stdout) == (0, "None\n"), done.stderr
    one, other = held(wheel), held(again)
    assert {name for name in one if one[name] != other.get(name)} <= {
        name for name in one if name.endswith("/RECORD")
    }
    assert set(other) == set(one)
    assert other["coach/cli.py"] == (TREE / "coach" / "cli.py").read_bytes()


def test_what_was_changed_since_it_was_installed_is_not_handed_on(wheel: Path, tmp_path: Path) -> None:
    first = installed(wheel, tmp_path / "first")
    (first / "coach" / "content" / "limits.toml").write_text("format = 1\n")
    done = asked(first, tmp_path / "again.whl")
    assert done.returncode != 0
    assert "limits.toml: this file of the program was changed since it was installed" in done.stderr
    assert not (tmp_path / "again.whl").exists()


def test_another_program_than_the_installed_one_is_not_handed_on_as_it(wheel: Path, tmp_path: Path) -> None:
    """A copy of the package goes before the installed one, and may be anything."""
    first = installed(wheel, tmp_path / "first")
    shutil.copytree(first / "coach", tmp_path / "copy" / "coach")
    done = asked(tmp_path / "copy", tmp_path / "again.whl", first)
    assert "this program was not installed" in done.stderr


def test_what_was_never_installed_has_no_wheel(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A copy of the package alone; what is installed beside it is another."""
    (tmp_path / "coach").mkdir()
    monkeypatch.setattr("coach.__file__", str(tmp_path / "coach" / "__init__.py"))
    with pytest.raises(FileFault, match="this program was not installed"):
        own_wheel()
