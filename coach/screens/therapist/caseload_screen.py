"""All clients of a folder, one line each: type to filter, tab to change the order, enter to open a client.

In a wide window the chosen client stands beside the list.
"""

import time
from collections.abc import Sequence
from functools import partial
from typing import overload

from textual.app import ComposeResult
from textual.containers import Container, Vertical, VerticalScroll
from textual.events import Key, Resize
from textual.screen import Screen
from textual.timer import Timer
from textual.widgets import Static

from coach.model.message_format import fill
from coach.model.messages.therapist_reports import ChartName
from coach.model.option_names import CaseloadOrder
from coach.overview.caseload_columns import CaseloadColumns, caseload_columns
from coach.overview.caseload_lines import (
    CASELOAD_ORDERS,
    CaseloadLine,
    in_care,
    left_out_text,
    legend_text,
    search_lines,
    sorted_lines,
    title_text,
)
from coach.screens.therapist.client_screen import ClientScreen
from coach.screens.therapist.one_client.client_facts import ClientFacts, client_facts
from coach.screens.therapist.one_client.client_plots import ClientCourse, ClientPlots
from coach.screens.therapist.report_sources import ChosenExercise, ReportSources
from coach.screens.therapist.report_unavailable import ReportUnavailable
from coach.screens.widgets.line_list import CHOOSING_KEYS, LineList
from coach.screens.widgets.page_head import PageHead, key_bar
from coach.screens.widgets.page_keys import takes
from coach.screens.widgets.scrolling import scroll_by_key, when_longer
from coach.screens.widgets.text import static_text
from coach.screens.widgets.wide import is_wide, signs_of

_READ_AGAIN_S = 20.0
_LEAST_APART = 10  # times as long as a reading took is the least to the next one: a large folder takes seconds
_DETAIL_KEYS = {"ctrl+down": "pagedown", "ctrl+up": "pageup"}
_MARK, _EDGES = 2, 4
_SHOWN: tuple[ChartName, ...] = ("load", "pain")


class _Drawn(Sequence[str]):
    """Lines as text, each drawn when it is looked at: a window shows a few of a hundred thousand."""

    def __init__(self, lines: Sequence[CaseloadLine], columns: CaseloadColumns) -> None:
        self._lines, self._columns = lines, columns

    def __len__(self) -> int:
        return len(self._lines)

    @overload
    def __getitem__(self, at: int) -> str: ...
    @overload
    def __getitem__(self, at: slice) -> Sequence[str]: ...
    def __getitem__(self, at: int | slice) -> str | Sequence[str]:
        if isinstance(at, slice):
            return _Drawn(self._lines[at], self._columns)
        return self._columns.line(self._lines[at])


class CaseloadScreen(Screen[None]):
    """The caseload; read again when this screen is returned to, at an interval, and on request."""

    def __init__(
        self,
        sources: ReportSources,
        lines: Sequence[CaseloadLine],
        typed: str = "",
        order: CaseloadOrder = "need",
        came_in: str = "",
        with_discharged: bool = False,
    ) -> None:
        """`came_in` says what has come from home since the last look."""
        super().__init__()
        self._sources = sources
        self._lines = lines
        self._typed, self._with_discharged = typed, with_discharged
        self._order: CaseloadOrder = order
        self._came_in = came_in
        self._shown: list[CaseloadLine] = []
        self._fault = ""
        self._courses: dict[str, ClientCourse] = {}
        self._reading_course = False
        self._read_next: Timer | None = None
        self._messages = sources.content.messages.therapist.caseload
        self._scroll_word = sources.content.messages.therapist.client_screen.keys["scroll"]

    def compose(self) -> ComposeResult:
        """The head, the filter, the column headings, the lines, a legend, and the keys."""
        yield PageHead()
        yield static_text("", id="status")
        with Container(id="split"):
            with Vertical(id="listing"):
                yield static_text("", id="head")
                yield LineList(id="list")
            with VerticalScroll(id="detail", can_focus=False):
                yield ClientFacts()
                yield ClientPlots(_SHOWN, self._sources.content.messages.therapist.history_charts, id="plots")
        yield static_text("", id="legend")
        yield static_text("", id="keys")

    def on_mount(self) -> None:
        """Name the keys that scroll where what is told of a client is longer than the window."""
        when_longer(self, self.query_one("#detail", VerticalScroll), self._name_keys)

    def on_screen_resume(self) -> None:
        """Read the caseload again after a client's screen, where it may have changed."""
        self._show()
        self._read_again()

    def on_resize(self, _: Resize) -> None:
        """Choose the columns that fit in the new width."""
        self.query_one("#split").set_class(is_wide(self), "wide")
        self.call_after_refresh(self._show)

    def on_key(self, event: Key) -> None:
        """Handle one key; printable characters extend the filter."""
        if not takes(self, event):
            return
        key = event.key
        if key in CHOOSING_KEYS:
            self.query_one(LineList).move(key)
            self._show_chosen()
        elif key in _DETAIL_KEYS:
            scroll_by_key(self.query_one("#detail", VerticalScroll), _DETAIL_KEYS[key])
        elif key == "enter":
            self._open()
        elif key == "escape":
            self._clear_or_leave()
        elif key in ("tab", "shift+tab"):
            step = 1 if key == "tab" else -1
            self._order = CASELOAD_ORDERS[(CASELOAD_ORDERS.index(self._order) + step) % len(CASELOAD_ORDERS)]
            self._show(keeps=False)
        elif key == "f5":
            self._read_again()
        elif key == "backspace":
            self._find(self._typed[:-1])
        elif event.character is not None and event.character.isprintable():
            self._find(self._typed + event.character)

    def _find(self, typed: str) -> None:
        self._typed = typed
        self._show(keeps=False)

    def _clear_or_leave(self) -> None:
        if self._typed:
            self._find("")
        else:
            self.dismiss()

    def _open(self) -> None:
        if self._shown:
            self.app.push_screen(ClientScreen(self._sources, self._chosen))

    @property
    def _chosen(self) -> CaseloadLine:
        return self._shown[self.query_one(LineList).at]

    def _read_again(self) -> None:
        self.run_worker(self._read, thread=True, exclusive=True, group="read")

    def _read(self) -> None:
        """Read the caseload; in a thread, so that keys are not delayed."""
        begun_s = time.monotonic()
        try:
            read, fault = self._sources.lines(), ""
        except ReportUnavailable as error:
            read, fault = self._lines, str(error).splitlines()[0]
        took_s = time.monotonic() - begun_s
        self.app.call_from_thread(partial(self._take, read, fault, took_s))

    def _take(self, lines: Sequence[CaseloadLine], fault: str, took_s: float) -> None:
        if self._read_next is not None:
            self._read_next.stop()
        self._read_next = self.set_timer(max(_READ_AGAIN_S, _LEAST_APART * took_s), self._read_again)
        same = {line.folder for line in lines} if lines is self._lines else self._unchanged(lines)
        self._courses = {folder: course for folder, course in self._courses.items() if folder in same}
        self._lines, self._fault = lines, fault
        if self.is_current:
            self._show()

    def _show(self, keeps: bool = True) -> None:
        """Show the lines that pass the filter; with `keeps` the chosen client stays chosen, even on another line."""
        table, messages = self.query_one(LineList), self._messages
        chosen = self._shown[table.at].folder if keeps and self._shown else None
        self._shown = sorted_lines(search_lines(self._lines, self._typed, self._with_discharged), self._order)
        at = next((number for number, line in enumerate(self._shown) if line.folder == chosen), 0)
        columns = caseload_columns(self._shown, messages, self._list_width() - _EDGES - _MARK, signs_of(self))
        title = title_text(self._sources.folder, in_care(self._lines), self._sources.content)
        head = columns.head if self._shown else messages.no_match
        purpose = self._sources.content.messages.therapist.pages.purpose["caseload"]
        self.query_one(PageHead).name_page(title, purpose)
        self.query_one("#status", Static).update(self._fault or f"{self._came_in}\n{self._status()}".strip())
        self.query_one("#head", Static).update(f"{' ' * _MARK}{head}")
        legend = legend_text(self._lines, columns.shown, self._sources.content)
        self.query_one("#legend", Static).update(legend)
        self._name_keys()
        table.show(_Drawn(self._shown, columns), at, self._sources.content.messages.therapist.client_screen)
        self._show_chosen()

    def _list_width(self) -> int:
        return self.query_one("#listing").size.width or self.size.width

    def _unchanged(self, lines: Sequence[CaseloadLine]) -> set[str]:
        """The clients whose summaries are as before."""
        before = {line.folder: line.summary for line in self._lines}
        return {line.folder for line in lines if before.get(line.folder) == line.summary}

    def _show_chosen(self) -> None:
        """Show the chosen client beside the list; their records are read in a thread, one client at a time."""
        self.query_one(PageHead).ask_for(*self._first_key())
        if not is_wide(self):
            return
        plots, facts = self.query_one(ClientPlots), self.query_one(ClientFacts)
        if not self._shown:
            facts.show(())
            plots.show((), 0)
            return
        chosen = self._chosen
        facts.show(client_facts(chosen, self._sources, signs_of(self), with_curves=False))
        known = self._courses.get(chosen.folder)
        plots.show(known.charts if known is not None else (), 0)
        if known is None and not chosen.fault and not self._reading_course:
            self._reading_course = True
            self.run_worker(partial(self._read_course, chosen.folder), thread=True, group="course")

    def _read_course(self, folder: str) -> None:
        try:
            course = self._sources.course(ChosenExercise(folder))
        except ReportUnavailable:
            course = ClientCourse(())  # the page of the client says what is wrong
        self.app.call_from_thread(self._take_course, folder, course)

    def _take_course(self, folder: str, course: ClientCourse) -> None:
        self._courses[folder], self._reading_course = course, False
        if self.is_current:
            self._show_chosen()

    def _first_key(self) -> tuple[str, str]:
        """The key to press now, and what it does."""
        now = self._sources.content.messages.therapist.pages.now
        if not self._shown:
            return ("esc", now["nobody"]) if self._typed else ("", "")
        chosen = self._chosen
        values = {"client": chosen.shown_name, "need": (*chosen.needs_text, "")[0]}
        return "enter", fill(now["open_needing" if chosen.needs_text else "open_client"], values)

    def _status(self) -> str:
        messages = self._messages
        ordered = fill(messages.sorted_by, {"order": messages.order[self._order]})
        left_out = left_out_text(self._lines, self._sources.content)
        if not self._typed and left_out and not self._with_discharged:
            return f"{ordered}   {left_out}"
        if not self._typed:
            return f"{ordered}   {messages.type_to_filter}"
        shown = fill(messages.filtered, {"shown": len(self._shown), "clients": len(self._lines)})
        return f"{ordered}   {fill(messages.typed, {'typed': self._typed})}_   {shown}"

    def _name_keys(self) -> None:
        messages, detail = self._messages, self.query_one("#detail", VerticalScroll)
        keys = (
            ("enter", messages.keys["open"]),
            *([("up down", messages.keys["choose"])] if len(self._shown) > 1 else []),
            ("tab", messages.keys["sort"]),
            ("esc", messages.keys["clear" if self._typed else "leave"]),
            ("f5", messages.keys["again"]),
            *([("ctrl+up ctrl+down", self._scroll_word)] if is_wide(self) and detail.show_vertical_scrollbar else []),
        )
        self.query_one("#keys", Static).update(key_bar(keys, self.size.width))
