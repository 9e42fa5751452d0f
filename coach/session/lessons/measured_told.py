"""What the client is told of a measured set: the part of the tempo that is furthest off, or that it was kept."""

from coach.model.content import Content
from coach.model.measured.measured_set import MeasuredSet
from coach.model.measured.tempo_kept import off_tempo
from coach.model.message_format import fill
from coach.model.record import Record


def set_sentence(one: MeasuredSet, record: Record, content: Content) -> str:
    """One plain sentence on the tempo of a set."""
    messages = content.messages.client.measured
    off = off_tempo(one, record.dose.tempo, content.limit_values(record.limits))
    if off is None:
        return messages.kept
    values = {"took": seconds(off.took_s), "u": seconds(half_width(off.u_s)), "asked": seconds(off.asked_s)}
    return fill(messages.off[off.way], values)


def half_width(u: float) -> float:
    """Half the width of an interval that holds a value of this standard uncertainty nine times in ten."""
    return 1.645 * u


def seconds(value: float | None) -> str:
    """Seconds with one decimal, without it where it is 0; a dash where it is not known."""
    return "-" if value is None else f"{value:.1f}".removesuffix(".0")
