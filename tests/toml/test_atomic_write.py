"""A file is the old text or the new text, whole; never between."""

import os
from pathlib import Path

import pytest

from coach.toml.atomic_write import make_folder, replace_file


def test_a_new_file_is_whole_and_its_owners_alone(tmp_path: Path) -> None:
    path = tmp_path / "progress.toml"
    replace_file(path, "a = 'é'\n")
    assert path.read_bytes() == "a = 'é'\n".encode()
    assert path.stat().st_mode & 0o777 == 0o600
    path.chmod(0o644)
    replace_file(path, "b = 2\n")
    assert path.read_text(encoding="utf-8") == "b = 2\n"
    assert path.stat().st_mode & 0o777 == 0o600
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("step", ["write", "fsync", "replace"])
def test_a_failure_at_any_step_leaves_the_old_text_and_nothing_else(
    step: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "progress.toml"
    replace_file(path, "old\n")

    def fails(*_: object) -> None:
        raise OSError(28, "No space left on device")

    if step == "fsync":
        monkeypatch.setattr(os, "fsync", fails)
    if step == "replace":
        monkeypatch.setattr(Path, "replace", fails)
    with pytest.raises((OSError, UnicodeEncodeError)):
        replace_file(path, "new \ud800\n" if step == "write" else "new\n")
    assert path.read_text(encoding="utf-8") == "old\n"
    assert list(tmp_path.iterdir()) == [path]


def test_the_text_is_on_the_disk_before_the_move_and_the_move_after(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    steps: list[str] = []
    fsync, replace = os.fsync, Path.replace

    def flushed(handle: int) -> None:
        steps.append("folder" if os.path.isdir(f"/proc/self/fd/{handle}") else "file")  # noqa: PTH112
        fsync(handle)

    def moved(path: Path, to: Path) -> Path:
        steps.append("move")
        return replace(path, to)

    monkeypatch.setattr(os, "fsync", flushed)
    monkeypatch.setattr(Path, "replace", moved)
    replace_file(tmp_path / "a", "text")
    assert steps == ["file", "move", "folder"]


def test_folders_are_their_owners_alone(tmp_path: Path) -> None:
    folder = tmp_path / "rowan" / "records"
    make_folder(folder)
    make_folder(folder)
    assert folder.stat().st_mode & 0o777 == 0o700
    assert folder.parent.stat().st_mode & 0o777 == 0o700
    (tmp_path / "file").touch()
    with pytest.raises(NotADirectoryError):
        make_folder(tmp_path / "file")
