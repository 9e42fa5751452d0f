"""The table of an invented sensor for the examples: one set of the demo client heron.

`python -m tests.demo.forearm_table` writes demo_profiles/forearm.csv again.
"""

import numpy as np

from tests.demo.pristine import TREE
from tests.motion_capture.simulated import Person, simulate

ROWS_A_SECOND = 25
SEED = 7


def table_text() -> str:
    """The table of the example."""
    return table_of(Person(position="90", hurried=0.75, repetitions=12))


def table_of(person: Person, began_at: float = 0.0) -> str:
    """A table with the names and units of a usual sensor logger; its times begin at `began_at`."""
    made = simulate(person, SEED).recording
    every = round(made.rate_hz / ROWS_A_SECOND)
    rows = np.column_stack([made.acceleration, np.degrees(made.turning)])[::every]
    lines = ["Time (s),Acceleration x (m/s²),Acceleration y (m/s²),Acceleration z (m/s²),"
             "Gyroscope x (deg/s),Gyroscope y (deg/s),Gyroscope z (deg/s)"]  # fmt: skip
    for number, row in enumerate(rows):
        cells = [f"{began_at + number / ROWS_A_SECOND:.2f}", *(f"{value:.2f}" for value in row)]
        lines.append(",".join(cells))
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    (TREE / "demo_profiles" / "forearm.csv").write_text(table_text(), encoding="utf-8")
