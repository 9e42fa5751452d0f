"""A measured set in sentences: the tempo kept, the dose received, and where it differs from what was recorded."""

from collections.abc import Iterator, Mapping

from msgspec import Struct

from coach.model.content import Content
from coach.model.measured.measured_set import MeasuredSet, MeasuredValue
from coach.model.measured.tempo_kept import (
    WayName,
    at_tempo,
    elbow_moved_deg,
    off_tempo,
    range_lost_deg,
    timed,
    usual_s,
    usual_u_s,
)
from coach.model.message_format import fill, placeholders
from coach.model.record import Record
from coach.progression.measured.course import set_differences
from coach.progression.rule_book import RuleBook
from coach.progression.state_machine import JudgedRecord
from coach.session.lessons.measured_told import half_width, seconds, set_sentence

_WAYS: tuple[WayName, ...] = ("out", "hold", "back")


class SetBeside(Struct, frozen=True):
    """A measured set beside the session that it was part of."""

    one: MeasuredSet
    judged: JudgedRecord
    content: Content

    @property
    def record(self) -> Record:
        """The record of the session."""
        return self.judged.record

    @property
    def _limits(self) -> Mapping[str, float]:
        return self.content.limit_values(self.record.limits)

    @property
    def at_tempo(self) -> int:
        """The dose received: how many repetitions were at tempo."""
        return at_tempo(self.one, self.record.dose.tempo, self._limits)

    def history_line(self) -> str:
        """What was measured, in one line."""
        usual: dict[str, object] = {way: seconds(usual_s(self.one, way)) for way in _WAYS}
        kept = self.at_tempo if timed(self.one) else seconds(None)
        wide = seconds(half_width(max(usual_u_s(self.one, way) for way in _WAYS)))
        values: dict[str, object] = {"set": self.one.set, "count": self.one.count, "at_tempo": kept, "u": wide}
        return fill(self.content.messages.therapist.measured.history, {**values, **usual})

    def lines(self) -> Iterator[str]:
        """The dose received, range and elbow as far as they are known."""
        messages, lost = self.content.messages.therapist.measured, range_lost_deg(self.one)
        percent = round(self._limits["measured_tempo_within"] * 100)
        if timed(self.one):
            yield fill(messages.at_tempo, {"percent": percent, "at_tempo": self.at_tempo, "count": self.one.count})
        if lost is not None:
            yield fill(messages.lost, {"lost": f"{lost.value:.0f}", "u": _wide(lost)})
        if self.one.elbow_drift_deg is not None:
            drift = self.one.elbow_drift_deg
            yield fill(messages.drift, {"drift": f"{drift.value:.0f}", "u": _wide(drift)})
        within = self.one.elbow_within_deg
        if within is not None:
            yield fill(messages.within, {"drift": f"{within.value:.0f}", "u": _wide(within)})
        if self.one.cut_off:
            yield messages.cut_off

    def differences(self) -> Iterator[str]:
        """Where it differs from what was recorded and answered."""
        done = next((done for done in self.record.sets_done if done.number == self.one.set), None)
        lost, drift = range_lost_deg(self.one), elbow_moved_deg(self.one)
        off = off_tempo(self.one, self.record.dose.tempo, self._limits)
        values = {
            "recorded": done.repetitions if done is not None else 0,
            "count": self.one.count,
            "lost": f"{max(lost.value, 0):.0f}" if lost is not None else "",
            "drift": f"{drift.value:.0f}" if drift is not None else "",
            "took": seconds(off.took_s) if off is not None else "",
            "asked": seconds(off.asked_s) if off is not None else "",
        }
        wide = {
            "lost": _wide(lost) if lost is not None else "",
            "drift": _wide(drift) if drift is not None else "",
            "took": seconds(half_width(off.u_s)) if off is not None else "",
        }
        messages = self.content.messages.therapist.measured.differs
        for name in set_differences(self.one, self.judged, RuleBook(self.content)):
            u = next((wide[value] for value in placeholders(messages[name]) if value in wide), "")
            yield fill(messages[name], {**values, "u": u})

    def client_sentence(self) -> str:
        """What the client is told: the part of the tempo that is furthest off, or that it was kept."""
        return set_sentence(self.one, self.record, self.content)


def _wide(value: MeasuredValue) -> str:
    """The half width of an interval that holds the value nine times in ten."""
    return f"{half_width(value.u):.0f}"
