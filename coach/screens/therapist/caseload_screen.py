"""All clients of a folder, one line each: typed letters find, tab puts them in another order, enter opens one."""

from collections.abc import Sequence
from functools import partial

from textual.app import ComposeResult
from textual.events import Key, Resize
from textual.screen import Screen
from textual.widgets import Static

from coach.model.caseload_order import CaseOrder
from coach.model.message_format import fill
from coach.model.messages.caseload import CaseloadWords
from coach.overview.caseload_lines import ORDERS, CaseLine, columns_for, in_order, matching
from coach.screens.therapist.client_screen import ClientScreen
from coach.screens.therapist.line_list import CHOOSING_KEYS, LineList
from coach.screens.therapist.report_sources import CannotShow, Looks
from coach.screens.widgets.text import key_lines, plain

_READ_AGAIN_S = 20.0
_MARK, _EDGES = 2, 4


class CaseloadScreen(Screen[None]):
    """The lines as they were read; read again when this page comes back, every while, and when asked."""

    def __init__(self, looks: Looks, lines: Sequence[CaseLine], typed: str = "", order: CaseOrder = "need") -> None:
        super().__init__()
        self._looks = looks
        self._lines = lines
        self._typed = typed
        self._order: CaseOrder = order
        self._shown: list[CaseLine] = []
        self._fault = ""
        self._words = looks.content.words.of(CaseloadWords)

    def compose(self) -> ComposeResult:
        """The title, what is typed, the headings, the lines; what the columns say, and the keys."""
        yield plain("", id="title")
        yield plain("", id="status")
        yield plain("", id="head")
        yield LineList(id="list")
        yield plain("", id="keys")

    def on_mount(self) -> None:
        """Read again every while, so that no line is older than that."""
        self.set_interval(_READ_AGAIN_S, self._read_again)

    def on_screen_resume(self) -> None:
        """Back from a client: what was changed there is read."""
        self._show()
        self._read_again()

    def on_resize(self, _: Resize) -> None:
        """Another width gives other columns."""
        self.call_after_refresh(self._show)

    def on_key(self, event: Key) -> None:
        """One key; a letter is part of what is looked for."""
        event.stop()
        key = event.key
        if key in CHOOSING_KEYS:
            self.query_one(LineList).move(key)
        elif key == "enter":
            self._open()
        elif key == "escape":
            self._clear_or_leave()
        elif key in ("tab", "shift+tab"):
            step = 1 if key == "tab" else -1
            self._order = ORDERS[(ORDERS.index(self._order) + step) % len(ORDERS)]
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
            self.app.push_screen(ClientScreen(self._looks, self._shown[self.query_one(LineList).at]))

    def _read_again(self) -> None:
        self.run_worker(self._read, thread=True, exclusive=True, group="read")

    def _read(self) -> None:
        """In a thread of its own, so that keys are never kept waiting."""
        try:
            read, fault = self._looks.lines(), ""
        except CannotShow as error:
            read, fault = self._lines, str(error).splitlines()[0]
        self.app.call_from_thread(partial(self._take, read, fault))

    def _take(self, lines: Sequence[CaseLine], fault: str) -> None:
        self._lines, self._fault = lines, fault
        if self.is_current:
            self._show()

    def _show(self, keeps: bool = True) -> None:
        """Draw what there is; with `keeps` the same client stays chosen, wherever their line is now."""
        table, words = self.query_one(LineList), self._words
        chosen = self._shown[table.at].client.folder if keeps and self._shown else None
        self._shown = in_order(matching(self._lines, self._typed), self._order)
        at = next((number for number, line in enumerate(self._shown) if line.client.folder == chosen), 0)
        columns = columns_for(self._shown, words, self.size.width - _EDGES - _MARK)
        needing = sum(1 for line in self._lines if line.needs)
        values = {"folder": self._looks.folder, "clients": len(self._lines), "needing": needing}
        head = columns.head if self._shown else words.no_match
        self.query_one("#title", Static).update(fill(words.title, values))
        self.query_one("#status", Static).update(self._fault or self._status())
        self.query_one("#head", Static).update(f"{' ' * _MARK}{head}")
        self.query_one("#keys", Static).update(self._keys())
        table.show([columns.line(line) for line in self._shown], at)

    def _status(self) -> str:
        words = self._words
        ordered = fill(words.sorted_by, {"order": words.order[self._order]})
        if not self._typed:
            return f"{ordered}   {words.type_to_filter}"
        shown = fill(words.filtered, {"shown": len(self._shown), "clients": len(self._lines)})
        return f"{ordered}   {fill(words.typed, {'typed': self._typed})}_   {shown}"

    def _keys(self) -> str:
        """What the columns say, and the keys."""
        words, weeks = self._words, self._looks.content.limit_values({})["adherence_weeks"]
        keys = (
            f"enter {words.keys['open']}",
            f"tab {words.keys['sort']}",
            f"esc {words.keys['clear' if self._typed else 'leave']}",
            f"f5 {words.keys['again']}",
        )
        return f"{fill(words.legend, {'weeks': f'{weeks:g}'})}\n{key_lines(keys, self.size.width)}"
