"""Reading a plain table of a motion sensor: separators, header, numbers; a fault is told by line and column."""

import re
from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np
from msgspec import Struct

from coach.motion_capture.columns import EXPECTED, ROLES, Column, UnknownColumns, columns_as_told, columns_by_name
from coach.motion_capture.recording import BadRecording, Recording, recording_of
from coach.motion_capture.results import Array
from coach.motion_capture.units import QUANTITIES, WITH_GRAVITY, UnclearUnit, units_of
from coach.toml.diagnostic import Diagnostic, FileFault, error_reason, whole_file
from coach.toml.reader import missing_file

MOST_BYTES = 64 * 1024 * 1024
_COMMENT = ("#", "//", "%")
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?")
_SEPARATORS = ("\t", ";", ",")
_IN_ORDER = "--columns " + ",".join(("TIME", "AX", "AY", "AZ", "GX", "GY", "GZ"))


class ToldBefore(Struct, frozen=True):
    """Columns with their units as they were told for an earlier table, and which table that was."""

    columns: Sequence[str]
    units: Sequence[str]
    table: str


class SensorTable(Struct, frozen=True):
    """A table that was read: the recording, and what its columns and units were taken to be."""

    recording: Recording
    columns: tuple[str, ...]
    units: tuple[str, str, str]
    as_told_before: ToldBefore | None = None
    """Where the columns are not known by their names and were told for a table before."""


class _Layout(Struct, frozen=True):
    """How a table is written, and its lines with their numbers from 1."""

    path: Path
    separator: str | None
    decimal_comma: bool
    header: tuple[str, ...]
    has_header: bool
    header_line: int
    lines: tuple[tuple[int, str], ...]

    def cells(self, line: str) -> list[str]:
        """The cells of one line, without quotes."""
        return [cell.strip().strip('"') for cell in line.split(self.separator)]

    def number(self, cell: str) -> str:
        """A number as Python reads it."""
        return cell.replace(",", ".") if self.decimal_comma else cell

    def at(self, row: int, column: int, what: str, expected: str, fix: str) -> Diagnostic:
        """A fault in one cell of a row."""
        number, line = self.lines[row]
        return Diagnostic(self.path, number, _character(line, self.separator, column), line, what, expected, fix)


def read_table(
    path: Path,
    columns: Sequence[str] = (),
    units: Sequence[str] = (),
    told_before: Iterable[ToldBefore] = (),
) -> SensorTable:
    """A table as a recording; `columns` and `units` are what the user says of them, if anything.

    Columns that are not known by their names are those of the first of `told_before` whose columns are all
    there. Raises FileFault with what is wrong, where, and what to do.
    """
    layout = _layout_of(_text_of(path), path)
    before = None if columns or _known_by_name(layout) else _told_before(layout, told_before)
    chosen = _columns_of(layout, columns if before is None else before.columns)
    values = _values_of(layout, chosen)
    time, acceleration, turning = values[:, 0], values[:, 1:4], values[:, 4:7]
    said = units or (() if before is None else before.units)
    named = [_common_unit(chosen[of]) for of in (slice(0, 1), slice(1, 4), slice(4, 7))]
    try:
        found = units_of(time, acceleration, turning, list(said) or named)
        scales = [quantity.units[unit] for quantity, unit in zip(QUANTITIES, found, strict=True)]
        recording = recording_of(time * scales[0], acceleration * scales[1], turning * scales[2])
    except UnclearUnit as error:
        place = (layout.header_line, 1, layout_line(layout)) if layout.has_header else (0, 0, "")
        raise FileFault([Diagnostic(path, *place, str(error), "values that fit their units", error.fix)]) from None
    except BadRecording as error:
        if error.row is None:
            raise FileFault([whole_file(path, str(error), error.expected, error.fix)]) from None
        column = chosen[error.role].index
        raise FileFault([layout.at(error.row, column, str(error), error.expected, error.fix)]) from None
    return SensorTable(recording, tuple(one.name for one in chosen), found, before)


def _told_before(layout: _Layout, told: Iterable[ToldBefore]) -> ToldBefore | None:
    """The first whose columns are all in this table."""
    return next((one for one in told if set(one.columns) <= set(layout.header)), None)


def _known_by_name(layout: _Layout) -> bool:
    try:
        return bool(columns_by_name(layout.header))
    except UnknownColumns:
        return False


def layout_line(layout: _Layout) -> str:
    """The header as it stands in the file."""
    return (layout.separator or " ").join(layout.header)


def _text_of(path: Path) -> str:
    try:
        if path.is_file() and path.stat().st_size > MOST_BYTES:
            what = f"the table is larger than {MOST_BYTES // 1024**2} MiB"
            raise FileFault(
                [whole_file(path, what, "the recording of one session", "keep only the rows of the session")]
            )
        content = path.read_bytes()
    except FileNotFoundError:
        raise FileFault([missing_file(path)]) from None
    except OSError as error:
        what = f"the table cannot be read: {error_reason(error)}"
        raise FileFault([whole_file(path, what, "a text file", "name the table itself")]) from None
    try:
        return content.decode("utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
    except UnicodeDecodeError:
        fix = "export the recording as CSV or as text"
        raise FileFault(
            [whole_file(path, "this is not text", "a table as text, one row for each moment", fix)]
        ) from None


def _layout_of(text: str, path: Path) -> _Layout:
    numbered = [(number, line) for number, line in enumerate(text.splitlines(), 1) if line.strip()]
    numbered = [one for one in numbered if not one[1].lstrip().startswith(_COMMENT)]
    if len(numbered) < 3:
        raise FileFault([whole_file(path, "there are no rows in this table", EXPECTED, "export the recording again")])
    first, second = numbered[0][1], numbered[1][1]
    separator = next((one for one in _SEPARATORS if one in second), None)
    decimal_comma = separator != "," and "," in second
    draft = _Layout(path, separator, decimal_comma, (), False, numbered[0][0], ())
    header = draft.cells(first)
    has_header = not all(_NUMBER.fullmatch(draft.number(cell)) or not cell for cell in header)
    named = tuple(header) if has_header else tuple(f"column {place + 1}" for place in range(len(header)))
    rows = tuple(numbered[1:] if has_header else numbered)
    return _Layout(path, separator, decimal_comma, named, has_header, numbered[0][0], rows)


def _columns_of(layout: _Layout, told: Sequence[str]) -> tuple[Column, ...]:
    try:
        return columns_as_told(told, layout.header) if told else columns_by_name(layout.header)
    except UnknownColumns as error:
        what = f"not found: {', '.join(error.missing)}"
        fix = f"say which they are by name or number, in this order: {_IN_ORDER}"
        if not layout.has_header and not told:
            what = "the table has no line with the names of its columns"
        if error.has_linear:
            fix = WITH_GRAVITY
        text = layout_line(layout) if layout.has_header else layout.lines[0][1]
        raise FileFault([Diagnostic(layout.path, layout.header_line, 1, text, what, EXPECTED, fix)]) from None


def _values_of(layout: _Layout, columns: Sequence[Column]) -> Array:
    """The seven columns as numbers. Raises FileFault with the first cell that is none."""
    text = "\n".join(line for _, line in layout.lines).replace('"', "")
    if layout.decimal_comma:
        text = text.replace(",", ".")
    places = [column.index for column in columns]
    try:
        values = np.loadtxt(text.split("\n"), delimiter=layout.separator, usecols=places, comments=None, ndmin=2)
    except ValueError:
        raise FileFault([_first_fault(layout, columns)]) from None
    if not np.isfinite(values).all():
        raise FileFault([_first_fault(layout, columns)])
    return np.asarray(values, dtype=np.float64)


def _first_fault(layout: _Layout, columns: Sequence[Column]) -> Diagnostic:
    for row, (_, line) in enumerate(layout.lines):
        cells = layout.cells(line)
        for column, role in zip(columns, ROLES, strict=True):
            if column.index >= len(cells):
                what = f"this row ends after {len(cells)} of {len(layout.header)} cells"
                torn = row == len(layout.lines) - 1
                fix = "the file may be cut off: export it again" if torn else "look at this row, or export again"
                return layout.at(row, len(cells), what, f"a number for the {role}", fix)
            cell = cells[column.index]
            if not _NUMBER.fullmatch(layout.number(cell)):
                what = f"{cell or 'an empty cell'} is not a number"
                fix = (
                    "take this row out if it is one of few; else record again, or name another column with --columns"
                )
                return layout.at(row, column.index, what, f"a number for the {role}", fix)
    return whole_file(layout.path, "the rows cannot be read as numbers", EXPECTED, "export the recording again")


def _character(line: str, separator: str | None, column: int) -> int:
    """The first character of a cell, from 1; the end of the line if it has no such cell."""
    starts = [0] if separator else []
    pattern = re.escape(separator) if separator else r"\S+"
    starts += [found.end() if separator else found.start() for found in re.finditer(pattern, line)]
    return starts[column] + 1 if column < len(starts) else len(line) + 1


def _common_unit(columns: Sequence[Column]) -> str | None:
    """The unit that the names say, if they say the same."""
    said = {column.unit for column in columns}
    return said.pop() if len(said) == 1 else None
