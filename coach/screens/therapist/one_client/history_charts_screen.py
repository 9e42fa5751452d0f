"""The charts of a client's history: a list of them beside the chosen one, or one at a time in a narrow window."""

from collections.abc import Sequence
from functools import partial
from textwrap import wrap

from textual.app import ComposeResult
from textual.containers import Container, VerticalScroll
from textual.content import Content as StyledText
from textual.events import Key, Resize
from textual.screen import Screen
from textual.widgets import Static

from coach.model.content import Content
from coach.model.message_format import fill
from coach.overview.chart_plot import chart_plot, drawn_rows, legend_lines, rows_for
from coach.overview.history_chart import Chart
from coach.screens.widgets.line_list import CHOOSING_KEYS, LineList
from coach.screens.widgets.page_head import PageHead, key_bar
from coach.screens.widgets.page_keys import takes
from coach.screens.widgets.plot_view import PlotView
from coach.screens.widgets.scrolling import scroll_by_key
from coach.screens.widgets.text import static_text
from coach.screens.widgets.wide import is_wide

_STEPS = {"right": 1, "enter": 1, "space": 1, "left": -1, "backspace": -1}
_LEAST_ROWS, _LEAST_COLUMNS = 7, 7
_EDGES = 4


class HistoryChartsScreen(Screen[None]):
    """Shows one chart at a time, as large as there is room."""

    def __init__(self, client: str, charts: Sequence[Chart], content: Content) -> None:
        super().__init__()
        self._client, self._charts = client, charts
        self._messages = content.messages.therapist
        self._index = 0

    def compose(self) -> ComposeResult:
        """The head, the list, the chart with its legend, the keys."""
        yield PageHead()
        with Container(id="split"):
            yield LineList(id="list")
            with VerticalScroll(id="detail", can_focus=False):
                plot = PlotView(partial(chart_plot, self._charts[0], self._messages.history_charts))
                plot.display = bool(self._charts[0].series)
                yield plot
                yield static_text("", id="page-text")
        yield static_text("", id="keys")

    def on_resize(self, _: Resize) -> None:
        """Redraw for the new size."""
        self.query_one("#split").set_class(is_wide(self), "wide")
        self.call_after_refresh(self._show_for_size)

    def on_key(self, event: Key) -> None:
        """Show another chart, scroll, or go back."""
        if not takes(self, event):
            return
        detail = self.query_one("#detail", VerticalScroll)
        if event.key in ("escape", "q"):
            self.dismiss()
        elif event.key in _STEPS:
            self._choose((self._index + _STEPS[event.key]) % len(self._charts))
        elif is_wide(self) and event.key in CHOOSING_KEYS and not event.key.startswith("page"):
            self.query_one(LineList).move(event.key)
            self._choose(self.query_one(LineList).at)
        else:
            scroll_by_key(detail, event.key)

    def _choose(self, index: int) -> None:
        self._index = index
        self.query_one("#detail", VerticalScroll).scroll_home(animate=False)
        self._show()

    def _show_for_size(self) -> None:
        """Show the chart, and again once head and keys have their lines, which leave it another height."""
        self._show()
        self.call_after_refresh(self._show)

    def _show(self) -> None:
        chart, detail = self._charts[self._index], self.query_one("#detail", VerticalScroll)
        columns = max(detail.size.width - _EDGES, _LEAST_COLUMNS)
        below = ["", *legend_lines(chart, self._messages.history_charts, columns)]
        below += [line for note in chart.notes for line in ("", *wrap(note, columns))]
        rows = rows_for(chart, detail.size.height - len(below) - 1, _LEAST_ROWS)
        view = self.query_one(PlotView)
        view.display = bool(chart.series)
        if chart.series:
            view.styles.height = drawn_rows(chart, self._messages.history_charts, columns, rows)
            view.show(partial(chart_plot, chart, self._messages.history_charts))
        shown = {"profile": self._client, "picture": chart.title}
        title = fill(self._messages.history_charts.title, shown)
        numbers = {"number": self._index + 1, "pictures": len(self._charts)}
        self.query_one(PageHead).name_page(title, self._messages.pages.purpose["charts"])
        now = self._messages.pages.now
        several = len(self._charts) > 1
        self.query_one(PageHead).ask_for(*(("→", fill(now["chart"], numbers)) if several else ("esc", now["read"])))
        self.query_one("#page-text", Static).update("\n".join(below))
        self.query_one(LineList).show([one.title for one in self._charts], self._index, self._messages.client_screen)
        self.query_one("#keys", Static).update(self._keys(rows + len(below) > detail.size.height))

    def _keys(self, longer: bool) -> StyledText:
        messages = self._messages.client_screen.keys
        of = fill(messages["pictures"], {"number": self._index + 1, "pictures": len(self._charts)})
        scroll = [("pageup pagedown" if is_wide(self) else "up down", messages["scroll"])] if longer else []
        choose = [("← →", of), *([("up down", messages["choose"])] if is_wide(self) else [])]
        choose = choose if len(self._charts) > 1 else []
        return key_bar([*choose, *scroll, ("esc", messages["back"])], self.size.width)
