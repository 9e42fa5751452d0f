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
from coach.overview.caseload_lines import CaseloadLine, no_session_texts, stands_text
from coach.screens.therapist.history_charts_screen import HistoryChartsScreen
from coach.screens.therapist.preview_screen import PreviewScreen
from coach.screens.therapist.report_sources import ChosenExercise, ReportSources, ReportUnavailable
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
        self._at = 0  # of the exercises the chosen one

    def compose(self) -> ComposeResult:
        """The client's status, and the keys."""
        keys = [f"{key} {self._messages.report[report]}" for key, report in REPORT_KEYS.items()]
        if self._line.exercises:
            keys.append(f"1-{len(self._line.exercises)} {self._messages.keys['exercise']}")
        keys += [f"up down {self._messages.keys['scroll']}", f"esc {self._messages.keys['back']}"]
        yield static_text(self._title(), id="title")
        yield VerticalScroll(*self._texts(), id="page", can_focus=False)
        yield static_text(key_lines(keys, self.app.size.width), id="keys")

    def on_key(self, event: Key) -> None:
        """Open a report, choose an exercise, scroll, or go back."""
        event.stop()
        numbers = [str(number) for number, _ in enumerate(self._line.exercises, 1)]
        report = REPORT_KEYS.get(event.key)
        if event.key in ("escape", "q"):
            self.dismiss()
        elif report is not None:
            self._open(report)
        elif event.key in numbers:
            self._at = numbers.index(event.key)
            self.refresh(recompose=True)
        else:
            scroll_by_key(self.query_one("#page", VerticalScroll), event.key)

    def _open(self, report: ReportName) -> None:
        """Open a screen or a report; if it is not available, show the reason."""
        chosen, title = self._chosen, f"{self._title()}: {self._messages.report[report]}"
        pages = {"preview": self._preview, "pictures": self._charts, "steering": self._sources.steering}
        if report not in pages:
            self.app.push_screen(TextScreen(title, partial(self._sources.reports[report], chosen), self._messages))
            return
        try:
            self.app.push_screen(pages[report](chosen))
        except ReportUnavailable as error:
            reason = str(error)
            self.app.push_screen(TextScreen(title, lambda: reason, self._messages))

    @property
    def _chosen(self) -> ChosenExercise:
        """What the pages are opened for."""
        exercises = self._line.exercises
        return ChosenExercise(self._line.client.folder, exercises[self._at].summary.name if exercises else None)

    def _title(self) -> str:
        exercises, client = self._line.exercises, self._line.client.shown_name
        named = f"{client}, {exercises[self._at].title}" if exercises else client
        return fill(self._messages.title, {"client": named})

    def _preview(self, chosen: ChosenExercise) -> Screen[None]:
        return PreviewScreen(self._sources.plan(chosen), self._sources.now(), self._sources.preview_reports)

    def _charts(self, chosen: ChosenExercise) -> Screen[None]:
        return HistoryChartsScreen(self._sources.charts(chosen), self._sources.draw_chart, self._messages)

    def _texts(self) -> Iterator[Widget]:
        messages, client = self._messages, self._line.client
        if client.fault:
            yield static_text(messages.files_title, "list-title")
            yield static_text(client.fault, "line")
            return
        yield from self._exercises()
        if not self._line.exercises:
            yield static_text(stands_text(client, self._sources.content), "lead")
        seen = {"date": client.last_seen or client.prescribed_on}
        yield static_text(fill(messages.seen if client.last_seen else messages.never_seen, seen), "line")
        yield static_text(messages.needs_title, "list-title")
        for need in self._line.needs_text or (messages.no_need,):
            yield static_text(f"  · {need}", "listed")
        several = bool(self._line.exercises)
        refused = tuple(f"{who}: {why}" if several else why for who, why in no_session_texts(self._line))
        yield from self._listed(messages.no_session_title, refused)
        yield from self._listed(messages.conditions_title, self._conditions())
        reason = self._line.exercises[self._at].summary.reason if several else client.reason
        yield from self._listed(messages.decided_title, (reason,) if reason else ())
        yield from self._listed(messages.tell_title, tuple(client.tell.values()))

    def _exercises(self) -> Iterator[Widget]:
        """Where each exercise of several stands, the chosen one marked; below it what it needs."""
        if self._line.exercises:
            yield static_text(self._messages.exercises_title, "list-title")
        for at, one in enumerate(self._line.exercises):
            text = fill(self._messages.exercise, {"number": at + 1, "stands": one.stands})
            if one.needs_text:
                needs = fill(self._messages.exercise_needs, {"needs": ", ".join(one.needs_text)})
                text = f"{text} {needs}"
            yield static_text(f"{'›' if at == self._at else ' '} {text}", "exercise")

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
