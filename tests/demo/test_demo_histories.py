"""The demo histories are made by the runner, not by hand: making them again gives the same bytes."""

import shutil
from pathlib import Path

import pytest

from tests.demo.histories import HISTORIES, PROGRAMMES, build, build_programme
from tests.demo.pristine import TREE, WRITTEN_BY_HAND


@pytest.mark.parametrize("name", [*HISTORIES, *PROGRAMMES])
def test_made_again_the_same(name: str, tmp_path: Path) -> None:
    """Each record that the history makes stands in the demo profile, byte for byte."""
    source, folder = TREE / "demo_profiles" / name, tmp_path / name
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
        assert record.read_bytes() == (TREE / "demo_profiles" / name / "records" / record.name).read_bytes()
