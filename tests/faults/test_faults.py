"""Nothing told is lost, whatever strikes; and the harness that says so sees it when a protection is taken away."""

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.demo.pristine import TREE
from tests.faults.lives import FAULTS

pytestmark = pytest.mark.skipif(not Path("/proc/self/fd").is_dir(), reason="follows files as Linux tells them")

# File, the protection in it, and what stands there without it; then the fault that must find it out.
WITHOUT = {
    "flush of a file": ("toml/atomic_write.py", "data) :]\n        os.fsync(handle)", "data) :]", "power cut"),
    "flush of a folder": ("toml/atomic_write.py", "raise\n    flush_folder(path.parent)", "raise", "power cut"),
    "move in one step": ("toml/atomic_write.py", "move(Path(name), path)", "path.write_bytes(data)", "power cut"),
    "lock": ("store/lock.py", "        lock_alone(handle)\n", "        pass\n", "two at once"),
    "mark of a whole append": ("store/records/record_file.py", "part is None or", "True or", "killed at a call"),
    "restoring": (
        "store/records/record_file.py",
        "before = self.restore()",
        "before = self.path.read_bytes()",
        "disk gone",
    ),
}


def struck(tree: Path, times: int, only: list[str], seed: int = 1) -> subprocess.CompletedProcess[str]:
    """The harness on a tree."""
    chosen = [word for fault in only for word in ("--only", fault)]
    command = [sys.executable, "-m", "tests.faults.run", "--times", str(times), "--seed", str(seed), *chosen]
    return subprocess.run(command, cwd=tree, capture_output=True, text=True, check=False)


@pytest.fixture(scope="module")
def tree(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the program, to be spoilt."""
    copy = tmp_path_factory.mktemp("tree")
    shutil.copytree(TREE / "coach", copy / "coach", ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("content", "demo_profiles", "tests"):
        (copy / name).symlink_to(TREE / name)
    return copy


def test_nothing_told_is_lost_whatever_strikes() -> None:
    """Each fault twice; thousands by `python -m tests.faults.run`."""
    done = struck(TREE, 2 * len(FAULTS), [])
    assert done.returncode == 0, done.stdout + done.stderr
    assert "0 lost, 0 unreadable" in done.stdout


@pytest.mark.parametrize("protection", WITHOUT)
def test_a_protection_is_where_it_is_looked_for(protection: str) -> None:
    """The long test that takes it away would else find out that it had moved, months later."""
    name, there, _, _ = WITHOUT[protection]
    assert (TREE / "coach" / name).read_text(encoding="utf-8").count(there) == 1


@pytest.mark.parametrize("protection", WITHOUT)
def test_a_protection_taken_away_is_found_out(tree: Path, protection: str) -> None:
    name, there, instead, fault = WITHOUT[protection]
    file = tree / "coach" / name
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace(there, instead), encoding="utf-8")
    try:
        done = struck(tree, 200, [fault])
    finally:
        file.write_text(text, encoding="utf-8")
    assert done.returncode == 1, done.stdout + done.stderr
    assert f"{fault}, after" in done.stdout
