"""Tables as loggers write them, and as they must not be: each refusal says what, where and what to do."""

import re
from collections.abc import Callable
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from coach.motion_capture.recording import BadRecording, recording_of
from coach.motion_capture.results import Array
from coach.motion_capture.table_file import read_table
from coach.motion_capture.units import GRAVITY_M_S2
from coach.toml.diagnostic import FileFault
from tests.motion_capture.simulated import Person, simulate

NAMES = ("time", "acc_x", "acc_y", "acc_z", "gyro_x", "gyro_y", "gyro_z")


@cache
def _rows() -> Array:
    """Seconds, m/s2 and rad/s; a hundred rows a second."""
    made = simulate(Person(repetitions=3), 5).recording
    return np.column_stack([np.arange(len(made.turning)) / made.rate_hz, made.acceleration, made.turning])


def _text(rows: Array, names: tuple[str, ...] = NAMES, separator: str = ",") -> str:
    lines = [separator.join(f"{value:.6g}" for value in row) for row in rows]
    return "\n".join([separator.join(names), *lines]) + "\n"


def _read(folder: Path, text: str, columns: tuple[str, ...] = (), units: tuple[str, ...] = ()) -> tuple[str, ...]:
    file = folder / "table.csv"
    file.write_text(text, encoding="utf-8")
    return read_table(file, columns, units).units


@pytest.mark.parametrize(("time", "acceleration", "turning", "units"), [
    (1.0, 1.0, 1.0, ("s", "m/s2", "rad/s")),
    (1e3, 1 / GRAVITY_M_S2, 180 / np.pi, ("ms", "g", "deg/s")),
    (1e6, 1e3 / GRAVITY_M_S2, 1.0, ("us", "mg", "rad/s")),
    (1e9, 1.0, 180 / np.pi, ("ns", "m/s2", "deg/s")),
])  # fmt: skip
def test_units_are_found_by_the_values(
    time: float, acceleration: float, turning: float, units: tuple[str, ...], tmp_path: Path
) -> None:
    rows = _rows() * np.array([time, *[acceleration] * 3, *[turning] * 3])
    lines = [f"{row[0]:.0f}," if time > 1 else f"{row[0]:.2f}," for row in rows]
    body = [first + ",".join(f"{value:.6g}" for value in row[1:]) for first, row in zip(lines, rows, strict=True)]
    assert _read(tmp_path, "\n".join([",".join(NAMES), *body])) == units


@pytest.mark.parametrize("names", [
    ("Time (s)", "Acceleration x (m/s^2)", "Acceleration y (m/s^2)", "Acceleration z (m/s^2)",
     "Gyroscope x (rad/s)", "Gyroscope y (rad/s)", "Gyroscope z (rad/s)"),
    ("seconds_elapsed", "ax", "ay", "az", "gx", "gy", "gz"),
    ("timestamp", *(f"acceleration{axis}" for axis in "XYZ"), *(f"rotationRate{axis}" for axis in "XYZ")),
    ("t", "ACC_X", "ACC_Y", "ACC_Z", "GYR_X", "GYR_Y", "GYR_Z"),
    ("Zeit [s]", *(f"Beschleunigung {axis}" for axis in "XYZ"), *(f"Drehrate {axis}" for axis in "XYZ")),
])  # fmt: skip
def test_columns_are_found_by_their_names(names: tuple[str, ...], tmp_path: Path) -> None:
    assert _read(tmp_path, _text(_rows(), names)) == ("s", "m/s2", "rad/s")


@pytest.mark.parametrize("separator", ["\t", ";", ",", " "])
def test_separators(separator: str, tmp_path: Path) -> None:
    assert _read(tmp_path, _text(_rows(), separator=separator)) == ("s", "m/s2", "rad/s")


def test_decimal_commas_quotes_comments_and_a_byte_order_mark(tmp_path: Path) -> None:
    text = "\ufeff# exported\n\n" + _text(_rows(), separator=";").replace(".", ",").replace("acc_x", '"acc_x"')
    assert _read(tmp_path, text) == ("s", "m/s2", "rad/s")


def test_columns_and_units_as_told(tmp_path: Path) -> None:
    """By number, where the table has no names."""
    bare = _text(_rows()).partition("\n")[2]
    told = ("1", "2", "3", "4", "5", "6", "7")
    assert _read(tmp_path, bare, columns=told, units=("s", "m/s2", "rad/s")) == ("s", "m/s2", "rad/s")


def _edited(edit: Callable[[Array], Array]) -> Callable[[], str]:
    return lambda: _text(edit(_rows().copy()))


def _put(rows: Array, at: tuple[slice | int, slice | int], value: float) -> Array:
    rows[at] = value
    return rows


def _clipped(rows: Array) -> Array:
    rows[:, 4:] = np.clip(rows[:, 4:] * 10, -4.36, 4.36)
    return rows


def _lines(edit: Callable[[list[str]], list[str]]) -> Callable[[], str]:
    return lambda: "\n".join(edit(_text(_rows()).splitlines()))


BAD: dict[str, tuple[Callable[[], str], str, str]] = {
    # what is wrong: the table, where it is said to be wrong, and what is said
    "missing column": (lambda: _text(_rows()[:, :6], NAMES[:6]), ":1:1", "not found: turning rate z"),
    "no names": (lambda: _text(_rows()).partition("\n")[2], ":1:1", "no line with the names"),
    "gravity taken away": (lambda: _text(_rows(), ("time", *(f"linear acc {a}" for a in "xyz"), *NAMES[4:])),
                           ":1:1", "export the acceleration with gravity in it"),
    "no gravity in the values": (_edited(lambda rows: rows * [1, 0.001, 0.001, 0.001, 1, 1, 1]), ":1:1",
                                 "gravity has been taken away"),
    "stopped clock": (_edited(lambda rows: _put(rows, (slice(300, 400), 0), 3.0)), ":302:1", "the clock stands"),
    "clock that goes back": (_edited(lambda rows: _put(rows, (500, 0), 1.0)), ":502:1", "the time goes back by"),
    "10 rows a second": (lambda: _text(_rows()[::10]), "", "10 rows a second, too few"),
    "gap": (lambda: _text(np.delete(_rows(), slice(400, 700), axis=0)), ":402:1", "3.0 s are missing"),
    "saturated": (_edited(_clipped), r":\d+:\d+", "at the end of its scale"),
    "other unit": (lambda: _text(_rows() * [1, 1, 1, 1, 57.3, 57.3, 57.3],
                                 (*NAMES[:4], "gyro x (rad/s)", "gyro y (rad/s)", "gyro z (rad/s)")), ":1:1",
                   "said to be in rad/s, but the turning rate reaches"),
    "too short": (lambda: _text(_rows()[350:650]), "", "holds 3.0 seconds"),
    "not a number": (_edited(lambda rows: _put(rows, (200, 5), np.nan)), r":202:\d+", "nan is not a number"),
    "empty cell": (_lines(lambda lines: [*lines[:50], re.sub(r",[^,]*$", ",", lines[50]), *lines[51:]]), r":51:\d+",
                   "an empty cell is not a number"),
    "a word": (_lines(lambda lines: [*lines[:50], "1,2,off,4,5,6,7", *lines[51:]]), ":51:5", "off is not a number"),
    "cut off": (_lines(lambda lines: [*lines[:-1], lines[-1][:20]]), r":\d+:\d+", "the file may be cut off"),
    "a sensor that does not move": (_edited(lambda rows: _put(rows, (slice(None), 2), 0.5)), r":2:\d+",
                                    "the same value in every row"),
    "empty": (lambda: "", "", "there are no rows"),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
def test_a_bad_table_is_refused_at_its_place(name: str, tmp_path: Path) -> None:
    made, where, says = BAD[name]
    with pytest.raises(FileFault) as refused:
        _read(tmp_path, made())
    told = str(refused.value)
    assert re.search(rf"table\.csv{where}: ", told), told
    assert says in told
    assert "to do: " in told


def test_two_hours() -> None:
    """Not as a text: that would take longer to write than all the others."""
    rows = np.ones((7200 * 25, 3))
    with pytest.raises(BadRecording, match="holds 2 h 0 min"):
        recording_of(np.arange(len(rows)) / 25, rows, rows)


def test_not_text_and_not_there(tmp_path: Path) -> None:
    (tmp_path / "picture.csv").write_bytes(b"\x89PNG\r\n\x1a\n\x00\xff\xfe")
    for path, says in ((tmp_path / "picture.csv", "not text"), (tmp_path / "pictur.csv", "nearest: picture.csv")):
        with pytest.raises(FileFault, match=says):
            read_table(path)
