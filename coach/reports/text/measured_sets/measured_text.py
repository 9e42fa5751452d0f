"""What a table of a sensor holds, as text: each set as a chart of the angle over time, and its repetitions."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from statistics import fmean

from msgspec import Struct

from coach.model.content import Content
from coach.model.measured.measured_set import MeasuredValue, TimedRepetition
from coach.model.message_format import fill
from coach.overview.chart_plot import SAMPLES
from coach.overview.measured_sets.measured_lines import SetBeside
from coach.reports.text.layout import columns, heading, paragraph
from coach.reports.text.measured_sets.angle_chart import ASKED, AngleOverTime, angle_lines
from coach.session.lessons.measured_told import seconds

_SECONDS = ("out_s", "hold_s", "back_s", "relax_s")


class TableRead(Struct, frozen=True):
    """What was read besides the sets: its length, where it is in the session, what else is in it, and doubts."""

    duration_s: float
    other_motions: int
    other_sets: int
    """Sets of another session."""
    upside_down: bool
    began: datetime
    """When the table began, by the clock of the session."""
    apart_s: float | None = None
    """How many seconds the clock of the table is ahead of that of the session; None where it has no time of day."""
    told_for: str = ""
    """The earlier table that the columns were told for, where they are not known by their names."""


def measured_text(
    profile: str, read: TableRead, sets: Sequence[SetBeside], charts: Sequence[AngleOverTime], content: Content
) -> str:
    """Everything that was found in the table, before anything is kept."""
    messages, first = content.messages.therapist.measured, sets[0].one
    units = dict(zip(("time", "acceleration", "turning"), first.units, strict=True))
    length = {"minutes": f"{read.duration_s / 60:.1f}", "rate": f"{first.rate_hz:.0f}"}
    lines = [
        *paragraph(fill(messages.title, {"profile": profile, "file": first.table})),
        *paragraph(fill(messages.read, {**length, **units})),
        *paragraph(fill(messages.columns_read, {"columns": ", ".join(first.columns)})),
    ]
    if read.told_for:
        lines += paragraph(fill(messages.as_told_before, {"table": read.told_for}))
    began = {"time": read.began.strftime("%H:%M:%S"), "apart": f"{read.apart_s or 0:.0f}"}
    lines += paragraph(fill(messages.offset if read.apart_s is None else messages.clocks, began))
    whole = first.unloaded_range_deg
    range_known = fill(messages.unloaded, _value("range", whole)) if whole is not None else messages.no_unloaded
    lines += paragraph(range_known)
    if read.other_motions:
        lines += paragraph(fill(messages.other, {"count": read.other_motions}))
    if read.other_sets:
        lines += paragraph(fill(messages.other_sets, {"count": read.other_sets}))
    if read.upside_down:
        lines += paragraph(messages.upside_down)
    for beside, chart in zip(sets, charts, strict=True):
        lines += _set_lines(beside, chart, content)
    return "\n".join(lines) + "\n"


def _set_lines(beside: SetBeside, chart: AngleOverTime, content: Content) -> Iterator[str]:
    messages, one, record = content.messages.therapist.measured, beside.one, beside.record
    date = record.started.strftime("%Y-%m-%d %H:%M")
    yield from heading(fill(messages.set, {"set": one.set, "date": date, "count": one.count}))
    yield from angle_lines(one, chart, record.dose.tempo, messages.axes)
    names = {"measured": SAMPLES["curve"], "asked": SAMPLES[ASKED]}
    yield from paragraph(fill(messages.axes, names))
    yield ""
    yield from columns(list(_table(beside, content)), messages.set)
    yield ""
    for line in (*beside.lines(), *beside.differences()):
        yield from paragraph(line)


def _table(beside: SetBeside, content: Content) -> Iterator[tuple[str, ...]]:
    """The heading, a row for each repetition, what was asked, and how well the values are known."""
    messages, tempo = content.messages.therapist.measured, beside.record.dose.tempo
    repetitions = beside.one.repetition
    yield messages.columns
    for number, repetition in enumerate(repetitions, 1):
        timed = [_seconds(getattr(repetition, name)) for name in _SECONDS]
        yield (str(number), *timed, _degrees(repetition.range_deg), _part(repetition.evenness))
    asked = [seconds(getattr(tempo, name)) for name in _SECONDS]
    whole = beside.one.unloaded_range_deg
    yield (messages.asked, *asked, _degrees(whole), "")
    known = [_known([getattr(one, name) for one in repetitions], 1) for name in _SECONDS]
    yield (messages.known_to, *known, _known([one.range_deg for one in repetitions], 0), _evenness_known(repetitions))


def _evenness_known(repetitions: Sequence[TimedRepetition]) -> str:
    return _known([one.evenness for one in repetitions], 2)


def _known(values: Sequence[MeasuredValue | None], decimals: int) -> str:
    """The half width of the interval that holds a value nine times in ten, of the mean uncertainty."""
    known = [value.u for value in values if value is not None]
    return f"{1.645 * fmean(known):.{decimals}f}" if known else ""


def _seconds(value: MeasuredValue | None) -> str:
    return f"{value.value:.1f}" if value is not None else "-"


def _degrees(value: MeasuredValue | None) -> str:
    return f"{value.value:.0f}" if value is not None else "-"


def _part(value: MeasuredValue | None) -> str:
    return f"{value.value:.2f}" if value is not None else "-"


def _value(name: str, value: MeasuredValue) -> dict[str, str]:
    return {name: f"{value.value:.0f}", "u": f"{1.645 * value.u:.0f}"}
