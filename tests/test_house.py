"""The rules of the house: who may know whom, how large a room is, what stands at the top."""

import ast
import subprocess
import sys
from collections import Counter
from importlib import import_module
from pathlib import Path

import pytest
from msgspec import Struct

from coach.cli import main
from coach.screens.client.key_bindings import LEAVE, QUIT, SESSION_BINDINGS

TREE = Path(__file__).parent.parent
MODULES = sorted((TREE / "coach").rglob("*.py"))
OUTER = ("textual", "rich", "numpy", "scipy", "tomli_w", "filelock", "tomlkit")


ROOMS = ["model", "mechanics", "drawing", "progression", "session", "overview"]


def _modules_of(room: str) -> list[str]:
    inside = [path for path in MODULES if path.relative_to(TREE / "coach").parts[0] == room]
    return [".".join(path.relative_to(TREE).with_suffix("").parts) for path in inside]


@pytest.mark.parametrize("room", ROOMS)
def test_inner_rooms_bring_no_screen_and_no_file_in(room: str) -> None:
    """A clean interpreter imports every module of the room, and nothing of the outside has come with it."""
    names = _modules_of(room)
    assert names
    code = f"import sys; import {', '.join(names)}; print([one for one in {OUTER} if one in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], cwd=TREE, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("room", ROOMS)
def test_what_the_inner_rooms_hand_on_cannot_be_changed(room: str) -> None:
    named = [one for name in _modules_of(room) for one in vars(import_module(name)).values()]
    data = {one for one in named if isinstance(one, type) and issubclass(one, Struct) and one is not Struct}
    assert data
    assert {one.__name__ for one in data if not one.__struct_config__.frozen} == set()


@pytest.mark.parametrize("module", MODULES, ids=lambda path: str(path.relative_to(TREE)))
def test_a_module_does_one_thing(module: Path) -> None:
    """Under 400 lines, and it begins by saying what it is for."""
    text = module.read_text(encoding="utf-8")
    assert text.count("\n") < 400
    assert text.startswith('"""')


def test_no_folder_holds_more_than_eighteen_modules() -> None:
    sizes = Counter(module.parent.relative_to(TREE) for module in MODULES if module.name != "__init__.py")
    assert {str(folder): size for folder, size in sizes.items() if size > 18} == {}


# The layers of one feature share its name: its data, computation, files, report, command and pages.
FEATURES = {
    "audit", "backup", "band", "bands", "caseload", "changed", "check", "forecast", "guide", "handout",
    "hazards", "history", "intake", "letter", "measured", "preview",
    "proof", "setup", "setup_alternatives", "steering", "upgrade", "visits",
}  # fmt: skip


def test_a_module_name_is_used_twice_only_by_the_layers_of_one_feature() -> None:
    names = Counter(module.name for module in MODULES if module.name not in ("__init__.py", "__main__.py"))
    assert {name.removesuffix(".py") for name, count in names.items() if count > 1} == FEATURES
    rooms = Counter((module.name, module.relative_to(TREE / "coach").parts[0]) for module in MODULES)
    in_one_room = {name for (name, _), count in rooms.items() if count > 1 and name != "__init__.py"}
    assert in_one_room == set()


def test_no_public_class_has_the_name_of_another() -> None:
    classes = Counter(
        node.name
        for module in MODULES
        for node in ast.parse(module.read_text(encoding="utf-8")).body
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_")
    )
    assert {name for name, count in classes.items() if count > 1} == set()


def test_nothing_else_stands_at_the_top() -> None:
    """The design card, and dot-files."""
    tracked = subprocess.run(["git", "ls-files"], cwd=TREE, capture_output=True, text=True, check=False).stdout
    top = {line.split("/")[0] for line in tracked.splitlines()}
    allowed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "coach", "content", "tests", "demo_profiles"}
    assert {name for name in top if not name.startswith(".")} <= allowed


def test_a_checkout_changes_no_line_ends() -> None:
    """As it does on Windows unless it is told not to."""
    asked = ["git", "check-attr", "text", "content/limits.toml", "demo_profiles/curlew/profile.toml"]
    told = subprocess.run(asked, cwd=TREE, capture_output=True, text=True, check=False).stdout
    assert [line for line in told.splitlines() if not line.endswith(": text: unset")] == []


def test_every_command_has_a_word_and_no_key_two_meanings_at_once() -> None:
    """One registry: a word for each command, and no two rows alike."""
    every = (*SESSION_BINDINGS, LEAVE, QUIT)
    assert all(command.key and command.word for command in every)
    assert len({(command.key, command.word) for command in every}) == len(every)


def test_the_command_says_its_version(capsys: pytest.CaptureFixture[str]) -> None:
    """As the newest heading of what has changed."""
    with pytest.raises(SystemExit) as ended:
        main(["--version"])
    newest = next(line for line in (TREE / "coach/CHANGELOG.md").read_text("utf-8").splitlines() if "##" in line)
    assert (ended.value.code, capsys.readouterr().out) == (0, f"Steady Arc {newest.removeprefix('## ')}\n")
