"""A new file is written, and an old one never."""

import stat
from pathlib import Path

import pytest

from coach.toml.diagnostic import FileFault
from coach.toml.new_file import write_new


def test_it_holds_the_bytes_for_its_owner_only(tmp_path: Path) -> None:
    path = tmp_path / "page.pdf"
    write_new(path, b"abc")
    assert path.read_bytes() == b"abc"
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


@pytest.mark.parametrize("there", ["file", "folder", "link to nothing"])
def test_what_is_there_stays(tmp_path: Path, there: str) -> None:
    path = tmp_path / "page.pdf"
    if there == "file":
        path.write_bytes(b"old")
    elif there == "folder":
        path.mkdir()
    else:
        path.symlink_to(tmp_path / "elsewhere")
    with pytest.raises(FileFault, match=r"(?s)page\.pdf: it exists already.*to do: give another name"):
        write_new(path, b"new")
    assert not (tmp_path / "elsewhere").exists()
    assert there != "file" or path.read_bytes() == b"old"


def test_a_missing_folder_is_named(tmp_path: Path) -> None:
    with pytest.raises(FileFault, match=r"there is no folder .*nowhere"):
        write_new(tmp_path / "nowhere" / "page.pdf", b"new")
