"""The columns of a caseload for a width: as many as leave room for what each client needs."""

from collections.abc import Callable, Sequence

from msgspec import Struct

from coach.drawing.plots.small_curve import small_bar, small_curve
from coach.model.caseload import ClientSummary, unpacked
from coach.model.message_format import fill
from coach.model.messages.therapist_reports import CaseloadMessages
from coach.model.option_names import CaseloadColumn, SignSetName
from coach.overview.caseload_lines import CURVE_WEEKS, CaseloadLine

_GAP = "  "
_LONGEST_NAME, _LEAST_NEEDS, _ROOM_FOR_NEEDS = 24, 12, 20
_NAMES_PART = 4  # of the width, at most one part in so many is for names
_BAR = 6
_LEAST_BESIDE = 4  # so wide is a text beside a curve, at least
_HIGHEST_PAIN = 10.0

# The headings of the columns in the messages, and the cells in a line; the mean is a load without its interval.
_HEADS: dict[CaseloadColumn, int] = {"seen": 2, "at": 3, "load": 4, "mean": 4, "pain": 5, "kept": 6}
_CELLS: dict[CaseloadColumn, int] = {"seen": 0, "at": 1, "load": 2, "pain": 3, "kept": 4}
_AS_TEXT: tuple[CaseloadColumn, ...] = ("seen", "at", "load", "pain", "kept")
# Whether there is a curve beside the text of a column.
_CURVES: dict[CaseloadColumn, Callable[[CaseloadLine], bool]] = {
    "seen": lambda _: False,
    "at": lambda _: False,
    "load": lambda line: line.has_load,
    "mean": lambda line: line.has_load,
    "pain": lambda line: line.has_pain,
    "kept": lambda line: line.adherence <= 1,
}
# The first of these is taken that leaves room for the needs, else the last one.
_WITH_CURVES: tuple[tuple[CaseloadColumn, ...], ...] = (
    _AS_TEXT,
    ("seen", "load", "pain", "kept"),
    ("seen", "mean", "pain", "kept"),
    ("mean", "pain", "kept"),
    ("mean", "pain"),
    ("pain",),
)


class CaseloadColumns(Struct, frozen=True):
    """The widths of the columns in characters; the needs take the remaining width of the page.

    `signs` are those of the curves; None for text without curves.
    """

    heads: tuple[str, ...]
    shown: tuple[CaseloadColumn, ...]
    name: int
    needs: int
    others: tuple[int, ...]
    more: str
    signs: SignSetName | None

    @property
    def head(self) -> str:
        """The line of column headings."""
        return self._joined(self.heads[0], self.heads[1], [self.heads[_HEADS[name]] for name in self.shown])

    def line(self, line: CaseloadLine) -> str:
        """One client as a line; a fault in the client's files extends over the cells, which are then empty."""
        if line.fault:
            room = self.needs + sum(len(_GAP) + width for width in self.others)
            return f"{fitted(line.shown_name, self.name)}{_GAP}{fitted(line.needs_text[0], room)}".rstrip()
        cells = _cells(line, self.shown, self.signs)
        return self._joined(line.shown_name, self._needs(line.needs_text), cells)

    def _joined(self, name: str, needs: str, cells: Sequence[str]) -> str:
        others = [cell.rjust(width) for cell, width in zip(cells, self.others, strict=True)]
        return _GAP.join([fitted(name, self.name), fitted(needs, self.needs), *others])

    def _needs(self, needs_text: tuple[str, ...]) -> str:
        """As many needs as fit, and the number of those left out."""
        for number in range(len(needs_text), 0, -1):
            rest = [fill(self.more, {"more": len(needs_text) - number})] if number < len(needs_text) else []
            text = " ".join([", ".join(needs_text[:number]), *rest])
            if len(text) <= self.needs or number == 1:
                return text
        return ""


def caseload_columns(
    lines: Sequence[CaseloadLine], messages: CaseloadMessages, width: int, signs: SignSetName | None = None
) -> CaseloadColumns:
    """The columns for these lines on a page `width` characters wide, with small curves if there are `signs`."""
    heads = messages.columns
    longest = max([len(heads[0]), *(len(line.folder) for line in lines)])  # no control character is left out
    name = min(longest, _LONGEST_NAME, width // _NAMES_PART)
    readable = [line for line in lines if not line.fault]
    for shown in (_AS_TEXT,) if signs is None else _WITH_CURVES:
        others = tuple(_width(heads[_HEADS[column]], column, readable, signs is not None) for column in shown)
        needs = width - name - sum(others) - len(_GAP) * (len(others) + 1)
        if needs >= _ROOM_FOR_NEEDS:
            break
    return CaseloadColumns(heads, shown, name, max(needs, _LEAST_NEEDS), others, messages.more, signs)


def _width(head: str, column: CaseloadColumn, lines: Sequence[CaseloadLine], with_curves: bool) -> int:
    """The width of a column, without drawing the curve of every client."""
    rows = {(_text(line, column), with_curves and _CURVES[column](line)) for line in lines}
    curve = _BAR if column == "kept" else CURVE_WEEKS
    widths = (curve + 1 + max(len(text), _LEAST_BESIDE) if drawn else len(text) for text, drawn in rows)
    return max([len(head), *widths])


def _text(line: CaseloadLine, column: CaseloadColumn) -> str:
    return line.mean if column == "mean" else line.cells[_CELLS[column]]


def _cells(line: CaseloadLine, shown: Sequence[CaseloadColumn], signs: SignSetName | None) -> list[str]:
    texts = [_text(line, column) for column in shown]
    if signs is None:
        return texts
    client = unpacked(line.summary)
    curves = [_curve(column, line, client, signs) if _CURVES[column](line) else "" for column in shown]
    return [f"{curve} {text:>{_LEAST_BESIDE}}" if curve else text for curve, text in zip(curves, texts, strict=True)]


def _curve(column: CaseloadColumn, line: CaseloadLine, client: ClientSummary, signs: SignSetName) -> str:
    if column == "kept":
        return small_bar(line.adherence, _BAR)
    return (pain_curve if column == "pain" else load_curve)(client, CURVE_WEEKS, signs)


def load_curve(client: ClientSummary, weeks: int, signs: SignSetName) -> str:
    """The load of the last weeks, on a scale from half the highest of them, or the lowest; empty without any."""
    loads = [one.load for one in client.weeks[-weeks:]]
    known = [load for load in loads if load is not None and load > 0]
    return small_curve(loads, min(*known, max(known) / 2), max(known), signs) if known else ""


def pain_curve(client: ClientSummary, weeks: int, signs: SignSetName) -> str:
    """The worst pain that the sessions of each of the last weeks tell of, from 0 to 10; empty without any."""
    pains = [one.pain for one in client.weeks[-weeks:]]
    return small_curve(pains, 0.0, _HIGHEST_PAIN, signs) if any(pain is not None for pain in pains) else ""


def fitted(text: str, width: int) -> str:
    """The text in exactly `width` characters: padded with spaces, or cut with an ellipsis."""
    return text.ljust(width) if len(text) <= width else text[: width - 1] + "…"
