"""The sets as a table for a spreadsheet, one row for each set. Pure.

The column names are those of the files, with units, in every language. Loads along a path are in newtons, which
`load_unit` says of each row.
"""

import csv
import io
from collections.abc import Mapping, Sequence
from types import MappingProxyType

from coach.model import step_names
from coach.model.content import Content
from coach.model.measured.measured_set import MeasuredSet
from coach.model.measured.tempo_kept import WayName, at_tempo, range_lost_deg, usual_s
from coach.model.profile import Profile
from coach.model.progress import Progress
from coach.model.record import Record
from coach.progression.rule_book import RuleBook
from coach.reports.tables.sets import PerformedSet, performed_sets
from coach.store.measured_files import SetKey, set_key

_WAYS: tuple[WayName, ...] = ("out", "hold", "back")
# A spreadsheet reads a cell with such a beginning as a formula: OWASP, CSV Injection (memory).
_FORMULA = ("=", "+", "-", "@", "\t", "\r")

COLUMNS = (
    "profile",
    "date",
    "time",
    "exercise",
    "position",
    "band",
    "looks",
    "strands",
    "distance_cm",
    "mean_nm",
    "mean_low_nm",
    "mean_high_nm",
    "peak_nm",
    "set",
    "goal",
    "repetitions",
    "under_load_s",
    "end",
    "faults",
    "not_sure",
    "pain_before",
    "pain",
    "trouble",
    "trouble_where",
    "effort",
    "move",
    "rule",
    "load_unit",
    "distance_is",
    "measured_repetitions",
    "measured_at_tempo",
    "measured_out_s",
    "measured_hold_s",
    "measured_back_s",
    "measured_range_lost_deg",
    "measured_elbow_drift_deg",
)
OF_PROGRAMME = ("programme_exercise", "side")


def csv_table(
    profile: Profile,
    records: Sequence[Record],
    before: Progress,
    content: Content,
    measured: Mapping[SetKey, MeasuredSet] = MappingProxyType({}),
    of_programme: bool = False,
) -> bytes:
    """The table as UTF-8 with the byte order mark that spreadsheets expect."""
    return csv_heading(of_programme) + csv_rows(profile, records, before, content, measured, of_programme)


def csv_heading(of_programme: bool = False) -> bytes:
    """The beginning of a table: the byte order mark and the names of the columns.

    Of a programme, two more columns say which exercise a set belongs to and which shoulder it was.
    """
    text = io.StringIO(newline="")
    csv.writer(text).writerow((*COLUMNS, *OF_PROGRAMME) if of_programme else COLUMNS)
    return text.getvalue().encode("utf-8-sig")


def csv_rows(
    profile: Profile,
    records: Sequence[Record],
    before: Progress,
    content: Content,
    measured: Mapping[SetKey, MeasuredSet] = MappingProxyType({}),
    of_programme: bool = False,
) -> bytes:
    """The rows of one client. What was not answered or not measured gives an empty cell."""
    text = io.StringIO(newline="")
    table = csv.writer(text)
    for one in performed_sets(records, before, RuleBook(content)):
        record, of_set = one.record, measured.get(set_key(one.record, one.done.number))
        row = (*_row(one, profile), *_measured(of_set, record, content))
        if of_programme:
            row = (*row, record.name, record.side or profile.side)
        table.writerow([_cell(value) for value in row])
    return text.getvalue().encode("utf-8")


def _row(one: PerformedSet, profile: Profile) -> tuple[str | int | float | None, ...]:
    record, done, load = one.record, one.done, one.load
    looks = {band.name: band.looks for band in profile.bands}
    before = record.answer(step_names.PAIN_NOW)
    decision = record.ended.decision if record.ended else None
    return (
        profile.name,
        done.at.date().isoformat(),
        done.at.time().isoformat(timespec="seconds"),
        record.exercise,
        record.position,
        load.grade,
        looks.get(load.grade, ""),
        load.strands,
        load.distance_cm,
        load.mean_nm,
        load.low_nm,
        load.high_nm,
        load.peak_nm,
        done.number,
        record.repetitions,
        done.repetitions,
        done.under_load_s,
        done.end,
        " ".join(one.faults),
        one.not_sure,
        before if isinstance(before, int) else None,
        one.pain,
        one.trouble,
        one.trouble_where,
        one.effort,
        decision.move if decision else "",
        decision.rule if decision else "",
        load.load_unit,
        "underfoot" if load.underfoot else "floor",
    )


def _measured(one: MeasuredSet | None, record: Record, content: Content) -> tuple[int | float | None, ...]:
    """What a sensor measured of the set."""
    if one is None:
        return (None,) * 7
    lost = range_lost_deg(one)
    return (
        one.count,
        at_tempo(one, record.dose.tempo, content.limit_values(record.limits)),
        *(_rounded(usual_s(one, way), 2) for way in _WAYS),
        _rounded(lost.value if lost is not None else None, 1),
        one.elbow_drift_deg.value if one.elbow_drift_deg is not None else None,
    )


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)


def _cell(value: str | int | float | None) -> str | int | float | None:
    """The value; a text that a spreadsheet would read as a formula is prefixed with an apostrophe."""
    return f"'{value}" if isinstance(value, str) and value.startswith(_FORMULA) else value
