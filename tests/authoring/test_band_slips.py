"""What the check says of a slip in a measured band: the line of the point, and nothing of what follows from it."""

import shutil
from pathlib import Path

import pytest

from coach.authoring.check import check_folder
from tests.authoring.test_check import spoil
from tests.demo.pristine import DEMO


@pytest.fixture
def client(tmp_path: Path) -> Path:
    return Path(shutil.copytree(DEMO / "tern", tmp_path / "tern"))


@pytest.mark.parametrize(
    ("right", "wrong", "what"),
    [
        ("force_n = 4.8", "force_n = 48", "48 N at 0.875 m does not fit the other points of the band striped"),
        ("force_n = 12.7", "force_n = 127", "127 N at 1.75 m does not fit the other points of the band striped"),
        ("force_n = 6.2", "force_n = 62", "62 N at 0.875 m does not fit the other points of the band knotted"),
        ("force_n = 9.7", "force_n = 0.97", "0.97 N at 1.05 m does not fit the other points of the band knotted"),
    ],
)
def test_a_slip_in_a_measured_band_is_told_at_its_point_and_alone(
    client: Path, right: str, wrong: str, what: str
) -> None:
    assert check_folder(client) == ()
    spoil(client / "profile.toml", right, wrong)
    (fault,) = check_folder(client)
    assert (fault.path.name, fault.what) == ("profile.toml", what)
    assert fault.text[fault.column - 1 :].startswith(wrong.removeprefix("force_n = "))
    assert "overrule" not in fault.fix


def test_a_point_that_only_lies_a_little_off_is_no_fault(client: Path) -> None:
    """That is what measuring is like: `coach bands` shows it."""
    spoil(client / "profile.toml", "force_n = 10.3", "force_n = 11.9")
    assert [fault.what for fault in check_folder(client) if "does not fit" in fault.what] == []
