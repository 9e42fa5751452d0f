"""The lines of a caseload: cells, order and search, the same for the screen and for text."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import inf

from coach.model.caseload import Need, Summary
from coach.model.caseload_order import CaseOrder
from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.caseload import CaseloadWords
from coach.progression.needs import adherence, needs_of

_GAP = "  "
_LONGEST_NAME, _LEAST_NEEDS = 24, 12
_NAMES_PART = 4  # of the width, at most one part in so many is for names


@dataclass(frozen=True)
class CaseLine:
    """One client in words. `cells` are those after the needs: seen, position, torque, pain, kept."""

    client: Summary
    needs: tuple[Need, ...]
    said: tuple[str, ...]
    cells: tuple[str, ...]
    rank: int
    unseen_days: float
    kept: float
    text: str


def case_line(client: Summary, needs: tuple[Need, ...], content: Content, today: date) -> CaseLine:
    """The line of one client on one day."""
    words = content.words.of(CaseloadWords)
    limits = content.limit_values(client.limits)
    found = needs_of(client, needs, limits, today)
    said = tuple(words.need[need.name] for need in found)
    if client.fault:
        said = (f"{said[0]}: {client.fault}" if said else client.fault,)
    unseen = (today - client.last_seen).days if client.last_seen else None
    kept = adherence(client, limits["adherence_weeks"], today)
    nothing = words.nothing
    cells = (
        nothing if unseen is None else words.today if unseen <= 0 else fill(words.days, {"days": unseen}),
        nothing if client.fault else _trained(client, content),
        nothing if client.mean_nm is None else f"{client.mean_nm:.2f}",
        nothing if client.pain is None else str(client.pain),
        nothing if kept is None else fill(words.share, {"percent": round(kept * 100)}),
    )
    return CaseLine(
        client=client,
        needs=found,
        said=said,
        cells=cells,
        rank=needs.index(found[0]) if found else len(needs),
        unseen_days=-inf if unseen is None else unseen,
        kept=inf if kept is None else kept,
        text=" ".join((client.shown_name, exercise_of(client, content), *said)).casefold(),
    )


def exercise_of(client: Summary, content: Content) -> str:
    """What the client's exercise is called; empty where it is not known."""
    words = content.words.exercises.get(client.exercise) if client.exercise is not None else None
    return words.title if words is not None else ""


def _trained(client: Summary, content: Content) -> str:
    """Which rotation is trained, and at how many degrees."""
    if client.exercise is None:
        return str(client.position_deg)
    position = content.exercise(client.exercise).position(client.position_deg)
    return f"{content.words.of(CaseloadWords).direction[position.direction]} {client.position_deg}"


# The first that differs decides; a client who needs nobody comes last.
_ORDERS: Mapping[CaseOrder, Callable[[CaseLine], tuple[object, ...]]] = {
    "need": lambda line: (line.rank, -len(line.needs), -line.unseen_days, line.client.folder),
    "client": lambda line: (line.client.folder,),
    "seen": lambda line: (-line.unseen_days, line.rank, line.client.folder),
    "load": lambda line: (-(line.client.mean_nm or 0), line.client.folder),
    "pain": lambda line: (-(line.client.pain if line.client.pain is not None else -1), line.rank, line.client.folder),
    "kept": lambda line: (line.kept, line.rank, line.client.folder),
}
ORDERS: tuple[CaseOrder, ...] = tuple(_ORDERS)


def in_order(lines: Iterable[CaseLine], order: CaseOrder) -> list[CaseLine]:
    """The lines in one of the orders."""
    by = _ORDERS[order]
    return sorted(lines, key=by)


def matching(lines: Sequence[CaseLine], typed: str) -> list[CaseLine]:
    """The lines that hold every word that was typed: in the client's name, exercise, or in what they need."""
    wanted = typed.casefold().split()
    return [line for line in lines if all(word in line.text for word in wanted)]


@dataclass(frozen=True)
class Columns:
    """The widths in which all lines stand under each other; the needs take what is left of the page."""

    heads: tuple[str, ...]
    name: int
    needs: int
    others: tuple[int, ...]
    more: str

    @property
    def head(self) -> str:
        """The line of headings."""
        return self._joined(self.heads[0], self.heads[1], self.heads[2:])

    def line(self, line: CaseLine) -> str:
        """One client; a fault takes the room of the cells that it leaves empty."""
        if line.client.fault:
            room = self.needs + sum(len(_GAP) + width for width in self.others)
            return f"{cut(line.client.shown_name, self.name)}{_GAP}{cut(line.said[0], room)}".rstrip()
        return self._joined(line.client.shown_name, self._needs(line.said), line.cells)

    def _joined(self, name: str, needs: str, cells: Sequence[str]) -> str:
        others = [cell.rjust(width) for cell, width in zip(cells, self.others, strict=True)]
        return _GAP.join([cut(name, self.name), cut(needs, self.needs), *others])

    def _needs(self, said: tuple[str, ...]) -> str:
        """As many needs as there is room for, and how many more there are."""
        for number in range(len(said), 0, -1):
            rest = [fill(self.more, {"more": len(said) - number})] if number < len(said) else []
            text = " ".join([", ".join(said[:number]), *rest])
            if len(text) <= self.needs or number == 1:
                return text
        return ""


def columns_for(lines: Sequence[CaseLine], words: CaseloadWords, width: int) -> Columns:
    """The columns of these lines on a page so many characters wide."""
    heads = words.columns
    name = min(
        max([len(heads[0]), *(len(line.client.shown_name) for line in lines)]), _LONGEST_NAME, width // _NAMES_PART
    )
    cells = [line.cells for line in lines if not line.client.fault]
    others = tuple(max([len(head), *(len(row[at]) for row in cells)]) for at, head in enumerate(heads[2:]))
    left = width - name - sum(others) - len(_GAP) * (len(others) + 1)
    return Columns(heads, name, max(left, _LEAST_NEEDS), others, words.more)


def cut(text: str, width: int) -> str:
    """Exactly so many characters: the text with blanks behind it, or its beginning with an ellipsis."""
    return text.ljust(width) if len(text) <= width else text[: width - 1] + "…"
