"""The demo histories are made by the runner, not by hand: making them again gives the same bytes."""

import shutil
from pathlib import Path

import pytest

from tests.demo.histories import HISTORIES, build
from tests.demo.pristine import TREE, WRITTEN_BY_HAND


@pytest.mark.parametrize("name", HISTORIES)
def test_made_again_the_same(name: str, tmp_path: Path) -> None:
    """Each record that the history makes stands in the demo profile, byte for byte."""
    (tmp_path / name).mkdir()
    for file in WRITTEN_BY_HAND:
        shutil.copy(TREE / "demo_profiles" / name / file, tmp_path / name / file)
    build(tmp_path, name)
    made = sorted(tmp_path.glob(f"{name}/records/*.toml"))
    assert len(made) == HISTORIES[name].sessions
    for record in made:
        assert record.read_bytes() == (TREE / "demo_profiles" / name / "records" / record.name).read_bytes()
