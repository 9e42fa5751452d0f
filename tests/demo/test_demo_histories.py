"""The demo histories are made by the runner, not by hand: making them again gives the same bytes."""

import shutil
from pathlib import Path

import pytest

from coach.store.programme.upgrade import upgrade
from tests.demo.histories import HISTORIES, PROGRAMMES, build, build_programme
from tests.demo.pristine import DEMO, WRITTEN_BY_HAND, copy_client


@pytest.mark.parametrize("name", [*HISTORIES, *PROGRAMMES])
def test_made_again_the_same(name: str, tmp_path: Path) -> None:
    """Each record that the history makes stands in the demo profile, byte for byte."""
    source, folder = DEMO / name, tmp_path / name
    for file in (file for file in WRITTEN_BY_HAND if (source / file).exists()):
        (folder / file).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(source / file, folder / file)
    if name in PROGRAMMES:
        build_programme(tmp_path, name)
    else:
        build(tmp_path, name)
    made = sorted(tmp_path.glob(f"{name}/records/*.toml"))
    assert len(made) == {**HISTORIES, **PROGRAMMES}[name].sessions
    for record in made:
        assert record.read_bytes() == (DEMO / name / "records" / record.name).read_bytes()


@pytest.mark.parametrize("name", [*HISTORIES, *PROGRAMMES])
def test_what_a_session_leaves_in_a_demo_profile_is_left_out(name: str, tmp_path: Path) -> None:
    """Somebody follows the README: a session first, which moves the client to format 2, then the tests."""
    used = Path(shutil.copytree(DEMO / name, tmp_path / "used"))
    upgrade(used)
    for left in ("records/2099-01-01T100000.toml", "plan.toml", ".lock"):
        (used / left).parent.mkdir(exist_ok=True)
        (used / left).write_text("left by a session\n", encoding="utf-8")
    copy_client(used, tmp_path / "clean", name)
    assert _files(tmp_path / "clean") == _files(DEMO / name)


def _files(folder: Path) -> dict[str, bytes]:
    return {str(one.relative_to(folder)): one.read_bytes() for one in folder.rglob("*.toml")}
