"""Watch recordings of ten people doing shoulder exercises, twenty repetitions each, carried by the package seglearn.

Burns DM et al., Physiol Meas 2018;39:075007: 50 Hz, acceleration in g, turning rate in rad/s, both sides. Only the
data of the package is read, not its code.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np

from coach.motion_capture.recording import Recording, recording_of
from coach.motion_capture.results import Array, Asked
from coach.motion_capture.units import GRAVITY_M_S2
from tests.plans import shipped

BUILT_ON, FRESH = range(1, 6), range(6, 11)
RATE_HZ = 50.0
TRUE_COUNT = 20


@dataclass(frozen=True)
class Watched:
    """One recording: who, which exercise by the label of the package, and which side."""

    person: int
    exercise: str
    right: bool
    rows: Array

    @property
    def recording(self) -> Recording:
        """The rows in SI units."""
        time = np.arange(len(self.rows)) / RATE_HZ
        return recording_of(time, self.rows[:, :3] * GRAVITY_M_S2, self.rows[:, 3:])

    @property
    def asked(self) -> Asked:
        """A rotation with the arm at the side at the usual tempo, outward but for internal rotation."""
        outward = -1 if self.right else 1
        turns_up = -outward if self.exercise == "IR" else outward
        return Asked(3.0, 2.0, 3.0, 2.0, 60.0, turns_up, 0.0, shipped().limit_values({}))


@cache
def _data() -> dict[str, Any]:
    spec = find_spec("seglearn")
    assert spec is not None
    assert spec.origin is not None
    file = Path(spec.origin).parent / "data" / "watch_dataset.npy"
    data: dict[str, Any] = np.load(file, allow_pickle=True).item()
    return data


def watched(*exercises: str) -> Iterator[Watched]:
    """The recordings of these exercises."""
    data = _data()
    for rows, label, person, side in zip(data["X"], data["y"], data["subject"], data["side"], strict=True):
        name = str(data["y_labels"][label])
        if name in exercises:
            yield Watched(int(person), name, side == 1, np.asarray(rows, dtype=np.float64))
