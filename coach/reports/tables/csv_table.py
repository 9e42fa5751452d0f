"""The sets as a table for a spreadsheet, one row for each set, and one for each instruction. Pure.

The column names are those of the files, with units, in every language. Loads along a path are in newtons, which
`load_unit` says of each row.
"""

from collections.abc import Mapping, Sequence
from statistics import fmean

from msgspec import Struct, field

from coach.model import step_names
from coach.model.content import Content
from coach.model.instruction import Instruction
from coach.model.measured.measured_set import MeasuredSet
from coach.model.measured.tempo_kept import WayName, at_tempo, range_lost_deg, timed, usual_s
from coach.model.profile import Profile
from coach.model.progress import Progress
from coach.model.record import Record
from coach.progression.rule_book import RuleBook
from coach.reports.tables.sets import PerformedSet, activities_by_step, performed_sets, signed_text
from coach.reports.tables.spreadsheet import SpreadsheetForm, Value, table_text
from coach.store.measured_sets.measured_files import SetKey, set_key

_WAYS: tuple[WayName, ...] = ("out", "hold", "back")

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
    "activities",
    "activity_ratings",
    "instruction",
    "initials",
)
OF_PROGRAMME = ("programme_exercise", "side")


class TableForm(Struct, frozen=True):
    """How the table is written; of a programme, two more columns name the exercise and the shoulder of a set."""

    of_programme: bool = False
    spreadsheet: SpreadsheetForm = field(default_factory=SpreadsheetForm)


class BesideRecords(Struct, frozen=True):
    """What stands in the table beside the records: what a sensor measured, and what the therapist signed."""

    measured: Mapping[SetKey, MeasuredSet] = field(default_factory=dict)
    instructions: Sequence[Instruction] = ()


def csv_table(
    profile: Profile,
    records: Sequence[Record],
    before: Progress,
    content: Content,
    beside: BesideRecords = BesideRecords(),
    form: TableForm = TableForm(),
) -> bytes:
    """The table as UTF-8 with the byte order mark that spreadsheets expect."""
    return csv_heading(form) + csv_rows(profile, records, before, content, beside, form)


def csv_heading(form: TableForm = TableForm()) -> bytes:
    """The beginning of a table: the byte order mark and the names of the columns."""
    columns = (*COLUMNS, *OF_PROGRAMME) if form.of_programme else COLUMNS
    return table_text([columns], form.spreadsheet).encode("utf-8-sig")


def csv_rows(
    profile: Profile,
    records: Sequence[Record],
    before: Progress,
    content: Content,
    beside: BesideRecords = BesideRecords(),
    form: TableForm = TableForm(),
) -> bytes:
    """The rows of one client: a row for each set, and before the sets done under it one for each instruction.

    What was not answered or not measured gives an empty cell.
    """
    rows = list[tuple[Value, ...]]()
    left = sorted(beside.instructions, key=lambda one: one.at)
    for one in performed_sets(records, before, RuleBook(content)):
        while left and left[0].at <= one.done.at:
            rows.append(_instruction_row(left.pop(0), profile, form))
        record, of_set = one.record, beside.measured.get(set_key(one.record, one.done.number))
        row = (*_row(one, profile), *_measured(of_set, record, content), *_activities(record), "", "")
        rows.append((*row, record.name, record.side or profile.side) if form.of_programme else row)
    rows += [_instruction_row(one, profile, form) for one in left]
    return table_text(rows, form.spreadsheet).encode("utf-8")


def _instruction_row(one: Instruction, profile: Profile, form: TableForm) -> tuple[Value, ...]:
    """What was signed, by whom and when; the cells of a set are empty."""
    columns = (*COLUMNS, *OF_PROGRAMME) if form.of_programme else COLUMNS
    cells: dict[str, Value] = {
        "profile": profile.name,
        "date": one.at.date().isoformat(),
        "time": one.at.time().isoformat(timespec="seconds"),
        "instruction": signed_text(one),
        "initials": one.initials,
    }
    return tuple(cells.get(column, "") for column in columns)


def _activities(record: Record) -> tuple[float | None, str]:
    """The mean of the client's own activities as rated in this session, and each of them."""
    rated = {text: record.answer(step) for step, text in activities_by_step(record).items()}
    known = {text: value for text, value in rated.items() if isinstance(value, int)}
    mean = round(fmean(known.values()), 1) if known else None
    return mean, "; ".join(f"{text}: {value}" for text, value in known.items())


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
        at_tempo(one, record.dose.tempo, content.limit_values(record.limits)) if timed(one) else None,
        *(_rounded(usual_s(one, way), 2) for way in _WAYS),
        _rounded(lost.value if lost is not None else None, 1),
        one.elbow_drift_deg.value if one.elbow_drift_deg is not None else None,
    )


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)
