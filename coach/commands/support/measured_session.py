"""A table of a sensor and the session that it belongs to: which session, which of its sets, and what to keep."""

import argparse
import hashlib
import re
from collections.abc import Callable, Iterator, Sequence
from datetime import date, datetime, timedelta
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from coach.commands.support.exercises import name_of
from coach.model.measured.measured_set import MeasuredSet, MeasuredValue, TimedRepetition
from coach.model.measured.tempo_kept import measured_faults
from coach.model.record import SetDone
from coach.motion_capture.analysis import analyse
from coach.motion_capture.asked import asked_of
from coach.motion_capture.columns import unit_named
from coach.motion_capture.recording import Recording
from coach.motion_capture.results import Estimate, Found, FoundSet, MeasuredRepetition
from coach.motion_capture.table_file import SensorTable, ToldBefore, read_table
from coach.overview.measured_sets.measured_lines import SetBeside
from coach.overview.measured_sets.set_matching import Match, match_from, matches, sets_of
from coach.progression.state_machine import JudgedRecord
from coach.reports.text.measured_sets.angle_chart import AngleOverTime
from coach.reports.text.measured_sets.measured_text import TableRead
from coach.store.client_paths import MEASURED
from coach.store.clock import now
from coach.store.programme.marked_file import read_marked
from coach.toml.diagnostic import Diagnostic, FileFault, Refusal, collect_faults, printable, whole_file
from coach.toml.expected import Expected
from coach.toml.typed_values import DateOrder, Unclear, read_typed

if TYPE_CHECKING:
    from coach.store.client_store import ClientStore


class TableOfSession(Struct, frozen=True):
    """What a table holds, as sets of a session: of one exercise, which `exercise` looks at."""

    exercise: "ClientStore"
    read: TableRead
    sets: tuple[SetBeside, ...]
    charts: tuple[AngleOverTime, ...]


def read_table_of_session(
    stores: "Sequence[ClientStore]", arguments: argparse.Namespace, choose: Callable[[Sequence[int]], int | None]
) -> TableOfSession:
    """The sets of a table beside the session and the exercise that are meant.

    `choose` is asked which set the first one is, where equal sets leave that open. Raises FileFault and Refusal.
    """
    path: Path = arguments.file
    units = [unit_named(unit) or unit for unit in arguments.units]
    table = read_table(path, arguments.columns, units, told_before(stores[0]))
    in_session = _session_meant(stores, arguments.session, table.recording.began_at)
    store, judged = _exercise_meant(in_session, table.recording)
    record = judged.record
    position = store.content.exercise(record.exercise).position(record.position)
    limits = store.content.limit_values(record.limits)
    found = analyse(table.recording, asked_of(store.profile, position, record.dose, limits))
    if not found.sets:
        raise FileFault([_no_set(path, found)])
    apart_s = limits["measured_apart_s"]
    there = _sets_meant(found.sets, store, judged, apart_s, table.recording.began_at)
    sets = found.sets[there.start : there.stop]
    match = _match_meant(sets, judged, arguments.set, apart_s, table.recording.began_at, choose)
    name = next(stored.path.name for stored in store.folder.stored_records if stored.record == record)
    file_hash = hashlib.sha256(path.read_bytes()).hexdigest()
    beside = tuple(
        SetBeside(
            _kept(store, one, number, name, judged, table, found.unloaded_before(there.start), path.name, file_hash),
            judged,
            store.content,
        )
        for one, number in zip(sets, match.numbers, strict=True)
    )
    charts = tuple(AngleOverTime(tuple(one.time_s.tolist()), tuple(one.angle_deg.tolist())) for one in sets)
    began = record.started + timedelta(seconds=match.began_s - record.started.timestamp())
    apart = None if table.recording.began_at is None else table.recording.began_at - match.began_s
    read = TableRead(
        duration_s=found.duration_s,
        other_motions=found.other_motions,
        other_sets=len(found.sets) - len(sets),
        upside_down=found.upside_down,
        began=began,
        apart_s=apart,
        told_for=table.as_told_before.table if table.as_told_before is not None else "",
    )
    return TableOfSession(store, read, beside, charts)


def _session_meant(
    stores: "Sequence[ClientStore]", when: str | None, began_at: float | None
) -> "list[tuple[ClientStore, JudgedRecord]]":
    """The session of a day, or of the time of day in the table; else the newest with a set. Raises Refusal.

    Of a programme, every exercise of the session of which a set was done.
    """
    done = [(store, one) for store in stores for one in store.sessions if one.record.sets_done]
    if not done:
        what = "there is no session with a set that this table could belong to"
        raise Refusal([_refused(what, fix="run a session first: coach session")])
    if when is None and began_at is not None:
        of_then = [one for one in done if one[1].record.started.timestamp() - 3600 <= began_at <= _ended(one[1])]
        done = of_then or done
    starts = sorted({one.record.started for _, one in done})
    if when is not None:
        wanted = _start_meant(when, stores[0].content.clinic.dates, _days_told(starts))
        named = [start for start in starts if _local(start).isoformat().startswith(wanted)]
        if len(named) != 1:
            days = _days_told(named or starts)
            several = f"{len(named)} sessions with a set were started at {when}"
            what = several if named else f"no session was started at {when}"
            raise Refusal([_refused(what, days, "name one with --session, as far as needed")])
        starts = named
    return [(store, one) for store, one in done if one.record.started == starts[-1]]


def _start_meant(when: str, dates: DateOrder | None, known: str) -> str:
    """A day, and its time if there is one, as a start begins in ISO 8601. Raises Refusal for a day that is unclear.

    What is no whole day stays as it was typed.
    """
    parts = _DAY_AND_TIME.fullmatch(when.strip())
    typed, time = parts.groups() if parts is not None else (when, None)
    day = read_typed(typed, Expected(date), dates=dates)
    if isinstance(day, Unclear):
        if day.what:
            raise Refusal([_refused(f"--session: {day.what}", known, day.fix)])
        return when.replace(" ", "T")
    hour, colon, minutes = (time or "").partition(":")
    return f"{day}T{hour.zfill(2) if colon else hour}{colon}{minutes}" if time else f"{day}"


_DAY_AND_TIME = re.compile(r"(.+?)(?:(?:T|\s+)([0-9]{1,2}(?::[0-9:]*)?))?")


def _days_told(starts: Sequence[datetime]) -> str:
    """The last few sessions by their day and time."""
    return "one of " + ", ".join(_local(start).strftime("%Y-%m-%dT%H:%M") for start in starts[-5:])


def _exercise_meant(
    in_session: "Sequence[tuple[ClientStore, JudgedRecord]]", recording: Recording
) -> "tuple[ClientStore, JudgedRecord]":
    """The exercise of a session that a table is of: the only one, else that of the time of day. Raises Refusal."""
    if recording.began_at is not None and len(in_session) > 1:
        first, last = recording.began_at, recording.began_at + recording.duration_s
        then = [one for one in in_session if any(first <= done.at.timestamp() <= last for done in _sets(one))]
        in_session = then or in_session
    if len(in_session) == 1:
        return in_session[0]
    names = ", ".join(name_of(store) for store, _ in in_session)
    what = f"sets of {len(in_session)} exercises were done in this session, and the table may be of any of them"
    raise Refusal([_refused(what, f"one of {names}", "name one with --exercise")])


def told_before(store: "ClientStore") -> Iterator[ToldBefore]:
    """Columns and units of sets that were kept before: of this client, the newest first, then of the others here.

    A file of another client that cannot be read is passed over: it is told where that client is looked at.
    """
    yield from (_told(one) for one in reversed(store.folder.measured_files.parsed[0]))
    own = store.path.resolve()
    others = [path for path in own.parent.glob(f"*/{MEASURED}/*.toml") if own not in path.parents]
    for path in sorted(others, key=_changed, reverse=True)[:_MOST_LOOKED_AT]:
        one = collect_faults(partial(read_marked, path, MeasuredSet), [])
        if one is not None:
            yield _told(one)


def _told(one: MeasuredSet) -> ToldBefore:
    return ToldBefore(one.columns, one.units, one.table)


def _changed(path: Path) -> float:
    try:
        return path.stat().st_mtime
    except OSError:  # a link to nothing, or a file that has gone in the meantime
        return 0.0


_MOST_LOOKED_AT = 50


def _sets(one: "tuple[ClientStore, JudgedRecord]") -> tuple[SetDone, ...]:
    return one[1].record.sets_done


def _sets_meant(
    sets: Sequence[FoundSet], store: "ClientStore", judged: JudgedRecord, apart_s: float, began_at: float | None
) -> range:
    """The sets of a table that are of this session, and not of another that it spans. Raises Refusal."""
    every = [done for one in store.sessions for done in one.record.sets_done]
    there = sets_of([one.ended_s for one in sets], judged.record.sets_done, every, apart_s, began_at)
    if there is None:
        done = len(judged.record.sets_done)
        what = f"the table holds {len(sets)} sets and the session has {done}: which of them are its own is left open"
        fix = "name another session with --session, or keep only the rows of this one in the table"
        raise Refusal([_refused(what, fix=fix)])
    return there


def _match_meant(
    sets: Sequence[FoundSet],
    judged: JudgedRecord,
    first: int | None,
    apart_s: float,
    began_at: float | None,
    choose: Callable[[Sequence[int]], int | None],
) -> Match:
    """Which sets of the session these are; where equal sets leave it open, `choose` is asked. Raises Refusal."""
    done, ended_s = judged.record.sets_done, [one.ended_s for one in sets]
    there = f"the session has {len(done)}, numbers {', '.join(str(one.number) for one in done)}"
    found = matches(ended_s, done, apart_s, began_at)
    if first is None and len(found) == 1:
        return found[0]
    if first is None and found:
        first = choose([one.numbers[0] for one in found])
    if first is None:
        held = "one set, and which one it is" if len(sets) == 1 else f"{len(sets)} sets, and which ones they are"
        what = f"the table holds {held} is left open: {there}"
        raise Refusal([_refused(what, fix="say which set the first one is: --set N")])
    chosen = match_from(ended_s, done, first)
    if chosen is None:
        raise Refusal([_refused(f"{len(sets)} in the table from set {first} on do not fit: {there}", fix=_OTHER)])
    return chosen


_OTHER = "name another set with --set, or another session with --session"


def _refused(what: str, expected: str = "", fix: str = "") -> Diagnostic:
    return whole_file(Path(), what, expected, fix)


def _no_set(path: Path, found: Found) -> Diagnostic:
    others = {0: "nothing moves in it", 1: "there is one stretch of movement that is not this exercise"}
    what = others.get(found.other_motions, f"{found.other_motions} stretches of movement are not this exercise")
    expected = "a set of at least three repetitions of the exercise of this session"
    fix = "strap the sensor to the forearm; was it another exercise or another position? Then name its --session"
    return whole_file(path, f"there is no set in this table: {what}", expected, fix)


def _ended(one: JudgedRecord) -> float:
    return one.record.last_at.timestamp()


def _local(start: datetime) -> datetime:
    return start.replace(tzinfo=None)


def _kept(
    store: "ClientStore",
    one: FoundSet,
    number: int,
    record_name: str,
    judged: JudgedRecord,
    table: SensorTable,
    unloaded: FoundSet | None,
    file_name: str,
    file_hash: str,
) -> MeasuredSet:
    """A set as it is kept."""
    whole = unloaded.range_deg if unloaded is not None else None
    kept = MeasuredSet(
        format=1,
        record=record_name,
        set=number,
        kept=now().at,
        exercise=judged.record.exercise,
        name=judged.record.name,
        position=judged.record.position,
        table=printable(file_name),  # as it is kept and told
        sha256=file_hash,
        columns=table.columns,
        units=table.units,
        rate_hz=table.recording.rate_hz,
        count=one.count,
        cut_off=one.cut_off,
        unloaded_range_deg=_value(whole, 1),
        elbow_drift_deg=_value(one.elbow_drift_deg, 1),
        elbow_within_deg=_value(one.elbow_within_deg, 1),
        repetition=tuple(map(_repetition, one.repetitions)),
    )
    limits = store.content.limit_values(judged.record.limits)
    faults = measured_faults(kept, judged.record.dose.tempo, limits)
    return kept.model_copy(update={"faults": faults, "holds": store.prescription.measured_holds})


def _repetition(one: MeasuredRepetition) -> TimedRepetition:
    out = _value(one.out_s, 2)
    assert out is not None  # only what may be unknown is None
    return TimedRepetition(
        began_s=round(one.began_s, 2),
        out_s=out,
        hold_s=_value(one.hold_s, 2),
        back_s=_value(one.back_s, 2),
        relax_s=_value(one.relax_s, 2),
        range_deg=_value(one.range_deg, 1),
        evenness=_value(one.evenness, 2),
    )


def _value(estimate: Estimate | None, decimals: int) -> MeasuredValue | None:
    if estimate is None:
        return None
    return MeasuredValue(value=round(estimate.value, decimals), u=round(estimate.u, decimals + 1))
