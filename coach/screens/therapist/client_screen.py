"""One client: current status, what needs attention, and a key for each report."""

from collections.abc import Iterator, Mapping
from functools import partial

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.events import Key
from textual.screen import Screen
from textual.widget import Widget

from coach.model.message_format import fill
from coach.model.messages.therapist import ReportName
from coach.overview.caseload_lines import CaseloadLine, exercise_title, load_unit
from coach.progression.decision_messages import spread_text
from coach.screens.therapist.history_charts_screen import HistoryChartsScreen
from coach.screens.therapist.preview_screen import PreviewScreen
from coach.screens.therapist.report_sources import ReportSources, ReportUnavailable
from coach.screens.therapist.text_screen import TextScreen
from coach.screens.widgets.scrolling import scroll_by_key
from coach.screens.widgets.text import key_lines, static_text
from coach.session.admission.client_conditions import therapist_lines

# In display order.
REPORT_KEYS: Mapping[str, ReportName] = {
    "p": "preview",
    "g": "pictures",
    "w": "steering",
    "d": "decisions",
    "s": "setup",
    "h": "history",
    "f": "forecast",
    "c": "check",
}


class ClientScreen(Screen[None]):
    """The client on one line of the caseload."""

    def __init__(self, sources: ReportSources, line: CaseloadLine) -> None:
        super().__init__()
        self._sources, self._line = sources, line
        self._messages = sources.content.messages.therapist.client_screen

    def compose(self) -> ComposeResult:
        """The client's status, and the keys."""
        keys = [f"{key} {self._messages.report[report]}" for key, report in REPORT_KEYS.items()]
        keys += [f"up down {self._messages.keys['scroll']}", f"esc {self._messages.keys['back']}"]
        yield static_text(fill(self._messages.title, {"client": self._line.client.shown_name}), id="title")
        yield VerticalScroll(*self._texts(), id="page", can_focus=False)
        yield static_text(key_lines(keys, self.app.size.width), id="keys")

    def on_key(self, event: Key) -> None:
        """Open a report, scroll, or go back."""
        event.stop()
        report = REPORT_KEYS.get(event.key)
        if event.key in ("escape", "q"):
            self.dismiss()
        elif report is not None:
            self._open(report)
        else:
            scroll_by_key(self.query_one("#page", VerticalScroll), event.key)

    def _open(self, report: ReportName) -> None:
        """Open a screen or a report; if it is not available, show the reason."""
        client = self._line.client
        title = f"{client.shown_name}: {self._messages.report[report]}"
        pages = {"preview": self._preview, "pictures": self._charts, "steering": self._sources.steering}
        if report not in pages:
            self.app.push_screen(
                TextScreen(title, partial(self._sources.reports[report], client.folder), self._messages)
            )
            return
        try:
            self.app.push_screen(pages[report](client.folder))
        except ReportUnavailable as error:
            reason = str(error)
            self.app.push_screen(TextScreen(title, lambda: reason, self._messages))

    def _preview(self, client: str) -> Screen[None]:
        return PreviewScreen(self._sources.plan(client), self._sources.now(), self._sources.preview_reports)

    def _charts(self, client: str) -> Screen[None]:
        return HistoryChartsScreen(self._sources.charts(client), self._sources.draw_chart, self._messages)

    def _texts(self) -> Iterator[Widget]:
        messages, client = self._messages, self._line.client
        if client.fault:
            yield static_text(messages.files_title, "list-title")
            yield static_text(client.fault, "line")
            return
        yield static_text(self._stands(), "lead")
        seen = {"date": client.last_seen or client.prescribed_on}
        yield static_text(fill(messages.seen if client.last_seen else messages.never_seen, seen), "line")
        yield static_text(messages.needs_title, "list-title")
        for need in self._line.needs_text or (messages.no_need,):
            yield static_text(f"  · {need}", "listed")
        yield from self._listed(messages.no_session_title, (client.no_session,) if client.no_session else ())
        yield from self._listed(messages.conditions_title, self._conditions())
        yield from self._listed(messages.decided_title, (client.reason,) if client.reason else ())
        yield from self._listed(messages.tell_title, tuple(client.tell.values()))

    @staticmethod
    def _listed(title: str, sentences: tuple[str, ...]) -> Iterator[Widget]:
        """A title with its sentences; nothing where there is none."""
        if sentences:
            yield static_text(title, "list-title")
        yield from (static_text(sentence, "sentence") for sentence in sentences)

    def _conditions(self) -> tuple[str, ...]:
        """The client's conditions and irritability, as of today."""
        client, content = self._line.client, self._sources.content
        limits, today = content.limit_values(client.limits), self._sources.now().date()
        return therapist_lines(client.condition, client.irritability, content, limits, today)

    def _stands(self) -> str:
        messages, client = self._messages, self._line.client
        spread = spread_text(client.low_nm, client.high_nm, self._sources.content)
        unit = load_unit(client, self._sources.content)
        mean = f"{client.mean_nm:.2f}" if client.mean_nm is not None else None
        average = {"mean": mean, "unit": unit, "spread": spread}
        load = messages.no_load if mean is None else fill(messages.load, average)
        values = {
            "status": messages.status[client.status],
            "exercise": exercise_title(client, self._sources.content),
            "position": client.position_deg,
            "load": load,
            "repetitions": client.repetitions,
            "sessions": client.sessions,
        }
        return fill(messages.stands, values)
