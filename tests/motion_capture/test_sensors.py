"""Inclination against the makers' own orientation, in recordings that come with the package scikit-kinematics 0.10.4.

The recordings are copied, under their licence in recordings/LICENSE.txt, because that package brings a folder `tests`
of its own, which would take the place of this one. Two makers; a and b are two models of one of them.
"""

from pathlib import Path

import numpy as np
import pytest

from coach.motion_capture.orientation import inclination_deg, orient
from coach.motion_capture.recording import Recording, recording_of
from coach.motion_capture.results import Array
from coach.motion_capture.table_file import read_table

RECORDINGS = Path(__file__).parent / "recordings"
LARGEST_DEG = 3.0
_C_HZ, _C_HEADER = 50.0, 5  # in the fifth line of the file


def _of_maker(quaternions: Array) -> Array:
    """The angle of the third axis to the vertical; the same for a rotation and its inverse. First w, then x, y, z."""
    _, x, y, _ = (quaternions / np.linalg.norm(quaternions, axis=1)[:, None]).T
    return np.asarray(np.degrees(np.arccos(np.clip(1 - 2 * (x**2 + y**2), -1, 1))))


def _median_difference(recording: Recording, first_s: float, time: Array, maker: Array) -> float:
    ours = inclination_deg(orient(recording).rotation)
    at = first_s + np.arange(len(ours)) / recording.rate_hz
    return float(np.median(np.abs(ours - np.interp(at, time, maker))))


@pytest.mark.parametrize(
    ("name", "units", "second"), [("a", ("s", "g", "deg/s"), 1.0), ("b", ("us", "g", "deg/s"), 1e-6)]
)
def test_a_table_as_the_maker_wrote_it(name: str, units: tuple[str, str, str], second: float) -> None:
    """Columns and units are found by their names; other columns are left alone."""
    table = read_table(RECORDINGS / f"{name}_sensor.csv")
    rows = np.loadtxt(RECORDINGS / f"{name}_orientation.csv", delimiter=",", skiprows=1)
    first = np.loadtxt(RECORDINGS / f"{name}_sensor.csv", delimiter=",", skiprows=1, max_rows=1)[0] * second
    assert table.units == units
    assert _median_difference(table.recording, first, rows[:, 0] * second, _of_maker(rows[:, 1:])) < LARGEST_DEG


def test_a_table_without_a_clock() -> None:
    """It has a counter; the rate stands in a comment, as 50 a second."""
    rows = np.loadtxt(RECORDINGS / "c_sensor_and_orientation.txt", skiprows=_C_HEADER)
    time = np.arange(len(rows)) / _C_HZ
    recording = recording_of(time, rows[:, 1:4], rows[:, 4:7])
    assert _median_difference(recording, 0.0, time, _of_maker(rows[:, 10:14])) < LARGEST_DEG
