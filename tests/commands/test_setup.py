"""`coach setup` as a person types it: a drawing as a file, and a sentence where there is no setup."""

import shutil
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from coach.cli import main
from coach.commands.support.output import FAULTS, FINE
from tests.demo.pristine import DEMO


@pytest.fixture
def tern(tmp_path: Path) -> Path:
    """A demo client, to be spoilt."""
    return Path(shutil.copytree(DEMO / "tern", tmp_path / "tern"))


def _spoil(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def test_a_drawing_is_written_once_and_never_over_a_file(
    tern: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "tern.svg"
    assert main(["setup", str(tern), "--position", "90", "--drawing", str(file)]) == FINE
    drawn = file.read_bytes()
    assert ET.fromstring(drawn).tag.endswith("svg")
    assert str(file) in capsys.readouterr().out
    assert main(["setup", str(tern), "--drawing", str(file)]) == FAULTS
    assert "exists already" in capsys.readouterr().err
    assert file.read_bytes() == drawn
    assert main(["setup", str(tern), "--drawing", str(tmp_path / "no" / "tern.svg")]) == FAULTS
    assert "there is no folder" in capsys.readouterr().err
    assert sorted(path.name for path in tmp_path.iterdir()) == ["tern", "tern.svg"]


def test_a_mark_inside_the_body_is_a_sentence(tern: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _spoil(tern / "profile.toml", "nearest_cm = 60", "nearest_cm = 20")
    _spoil(tern / "profile.toml", "[home]", "[lengths]\nhalf_biacromial_m = 0.22\n\n[home]")
    assert main(["setup", str(tern)]) == FAULTS
    said = capsys.readouterr().err
    assert "inside the body" in said
    assert "stand farther away" in said


def test_no_load_step_says_what_would_mend_it(tern: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _spoil(tern / "profile.toml", "nearest_cm = 60\nfarthest_cm = 160", "nearest_cm = 200\nfarthest_cm = 250")
    assert main(["setup", str(tern)]) == FAULTS
    said = capsys.readouterr().err
    assert "stretches more than 150 %" in said
    assert "longer band" in said


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("length_m = 0.875, force_n = 4.8", "length_m = 0.875, force_n = -4.8", "force_n = -4.8"),
        ("length_m = 0.875, force_n = 4.8", "length_m = 0.6, force_n = 4.8", "not longer than the resting length"),
        ("length_m = 1.400, force_n = 10.3", "length_m = 0.875, force_n = 10.3", "cannot both be right"),
    ],
)
def test_nonsense_on_the_shelf_is_told_in_its_line(
    tern: Path, capsys: pytest.CaptureFixture[str], old: str, new: str, said: str
) -> None:
    _spoil(tern / "profile.toml", old, new)
    lines = (tern / "profile.toml").read_text(encoding="utf-8").split("\n")
    (number,) = [number for number, line in enumerate(lines, 1) if new in line]
    for command in ("setup", "bands"):
        assert main([command, str(tern)]) == FAULTS
        told = capsys.readouterr().err
        assert f"profile.toml:{number}:" in told
        assert said in told


def test_a_fixed_distance_is_the_only_mark(tern: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with (tern / "prescription.toml").open("a", encoding="utf-8") as file:
        file.write("\n[[setups]]\nposition_deg = 0\ndistance_cm = 85\n")
    assert main(["check", str(tern)]) == FINE
    assert main(["setup", str(tern), "--ladder"]) == FINE
    said = " ".join(capsys.readouterr().out.split())
    assert "3 load steps instead of 36" in said
