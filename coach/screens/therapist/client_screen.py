"""One client on one page: programme, needs, the course as plots; and a key for each report."""

from collections.abc import Mapping
from functools import partial

from textual.app import ComposeResult
from textual.containers import Container, VerticalScroll
from textual.events import Key, Resize
from textual.screen import Screen
from textual.widgets import Static

from coach.model.message_format import fill
from coach.model.messages.therapist import PageName, ReportName
from coach.model.messages.therapist_reports import ChartName
from coach.overview.caseload_lines import CaseloadLine, needing_exercise, opened_first
from coach.screens.therapist.one_client.client_facts import ClientFacts, client_facts
from coach.screens.therapist.one_client.client_plots import ClientCourse, ClientPlots
from coach.screens.therapist.one_client.history_charts_screen import HistoryChartsScreen
from coach.screens.therapist.one_client.history_screen import HistoryScreen
from coach.screens.therapist.preview_screen import PreviewScreen
from coach.screens.therapist.report_sources import ChosenExercise, ReportSources
from coach.screens.therapist.report_unavailable import ReportUnavailable
from coach.screens.therapist.text_screen import TextScreen, unavailable_screen
from coach.screens.widgets.page_head import PageHead, key_bar
from coach.screens.widgets.page_keys import takes
from coach.screens.widgets.scrolling import scroll_by_key, when_longer
from coach.screens.widgets.text import static_text
from coach.screens.widgets.wide import is_wide, signs_of

# In display order.
REPORT_KEYS: Mapping[str, ReportName] = {
    "p": "preview",
    "g": "pictures",
    "v": "visit",
    "w": "steering",
    "d": "decisions",
    "s": "setup",
    "h": "history",
    "f": "forecast",
    "b": "bands",
    "c": "check",
}

# The reports that are a page of text, and what that page is called.
_TEXTS: Mapping[ReportName, PageName] = {
    "decisions": "decisions",
    "setup": "setup",
    "forecast": "forecast",
    "bands": "bands",
    "check": "check",
}

_KEY_OF: Mapping[ReportName, str] = {report: key for key, report in REPORT_KEYS.items()}
_SHOWN: tuple[ChartName, ...] = ("load", "pain", "faults")


class ClientScreen(Screen[None]):
    """The client on one line of the caseload."""

    def __init__(self, sources: ReportSources, line: CaseloadLine) -> None:
        super().__init__()
        self._sources, self._line = sources, line
        self._messages = sources.content.messages.therapist.client_screen
        self._exercises = line.exercises
        self._at = needing_exercise(line)  # of the exercises the chosen one
        self._course = ClientCourse(())

    def compose(self) -> ComposeResult:
        """The client's status, the course as plots beside or below it, and the keys."""
        yield PageHead(self._title(), self._sources.content.messages.therapist.pages.purpose["client"])
        with VerticalScroll(id="page", can_focus=False), Container(id="client"):
            yield ClientFacts(id="facts")
            yield ClientPlots(_SHOWN, self._sources.content.messages.therapist.history_charts, id="plots")
        yield static_text("", id="keys")

    def on_mount(self) -> None:
        """Read the records in a thread: the page is shown at once."""
        when_longer(self, self.query_one("#page", VerticalScroll), self._name_keys)
        if not self._line.fault:
            self.run_worker(partial(self._read, self._chosen), thread=True)

    def on_resize(self, _: Resize) -> None:
        """Lay the page out for the new width."""
        self.call_after_refresh(self._show)

    def _read(self, chosen: ChosenExercise) -> None:
        try:
            course = self._sources.course(chosen)
        except ReportUnavailable as error:
            course = ClientCourse((), refused=str(error))
        self.app.call_from_thread(self.take, chosen, course)

    def take(self, chosen: ChosenExercise, course: ClientCourse) -> None:
        """Show what was read of an exercise, unless another one has been chosen meanwhile: no thread is cancelled."""
        if chosen != self._chosen:
            return
        self._course = course
        if self.is_attached:
            self._show()

    def _name_keys(self) -> None:
        keys = [(key, self._messages.report[report]) for key, report in REPORT_KEYS.items()]
        if self._exercises:
            keys.append((f"1-{len(self._exercises)}", self._messages.keys["exercise"]))
        if self.query_one("#page", VerticalScroll).show_vertical_scrollbar:
            keys.append(("up down", self._messages.keys["scroll"]))
        keys.append(("esc", self._messages.keys["back"]))
        self.query_one("#keys", Static).update(key_bar(keys, self.size.width))

    def _show(self) -> None:
        self._name_keys()
        self.query_one(PageHead).ask_for(*self._first_key())
        self.query_one("#client").set_class(is_wide(self), "wide")
        with_curves = not is_wide(self) or not self._course.charts
        facts = client_facts(self._line, self._sources, signs_of(self), with_curves, self._at, self._course)
        self.query_one(ClientFacts).show(facts)
        room = self.query_one("#page").size.height if is_wide(self) else 0
        self.query_one(ClientPlots).show(self._course.charts, room)

    def _first_key(self) -> tuple[str, str]:
        """The key to press now, and what it does: by what is due."""
        opened = opened_first(self._line)
        now = self._sources.content.messages.therapist.pages.now[opened]
        return _KEY_OF[opened], fill(now, {"need": (*self._line.needs_text, "")[0]})

    def on_key(self, event: Key) -> None:
        """Open a report, choose an exercise, scroll, or go back."""
        if not takes(self, event):
            return
        numbers = [str(number) for number, _ in enumerate(self._exercises, 1)]
        report = REPORT_KEYS.get(event.key)
        if event.key in ("escape", "q"):
            self.dismiss()
        elif report is not None:
            self._open(report)
        elif event.key in numbers:
            self._at = numbers.index(event.key)
            self.query_one("#title", Static).update(self._title())
            self._show()
            self.run_worker(partial(self._read, self._chosen), thread=True, exclusive=True)
        else:
            scroll_by_key(self.query_one("#page", VerticalScroll), event.key)

    def _open(self, report: ReportName) -> None:
        """Open a screen or a report; if it is not available, show the reason."""
        chosen = self._chosen
        title = self._page_title(report)
        pages = {
            "preview": self._preview,
            "pictures": self._charts,
            "visit": self._sources.visit,
            "steering": self._sources.steering,
            "history": self._history,
        }
        if report not in pages:
            made = partial(self._sources.reports[report], chosen)
            self.app.push_screen(TextScreen(title, _TEXTS[report], made, self._sources.content))
            return
        try:
            self.app.push_screen(pages[report](chosen))
        except ReportUnavailable as error:
            self.app.push_screen(unavailable_screen(title, error, self._sources.content))

    @property
    def _chosen(self) -> ChosenExercise:
        """What the pages are opened for."""
        exercises = self._exercises
        return ChosenExercise(self._line.folder, exercises[self._at].summary.name if exercises else None)

    def _title(self) -> str:
        exercises, client = self._exercises, self._line.shown_name
        named = f"{client}, {exercises[self._at].title}" if exercises else client
        return fill(self._messages.title, {"client": named})

    def _page_title(self, report: ReportName) -> str:
        return fill(self._messages.page_title, {"client": self._title(), "page": self._messages.report[report]})

    def _preview(self, chosen: ChosenExercise) -> Screen[None]:
        sources = self._sources
        return PreviewScreen(sources.plans(chosen), sources.now(), sources.preview_reports, begin=chosen.name)

    def _history(self, chosen: ChosenExercise) -> Screen[None]:
        title = self._page_title("history")
        return HistoryScreen(title, partial(self._sources.sessions, chosen), self._sources.content)

    def _charts(self, chosen: ChosenExercise) -> Screen[None]:
        charts = self._sources.course(chosen).charts
        return HistoryChartsScreen(self._title(), charts, self._sources.content)
