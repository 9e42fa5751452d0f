"""The lines of a caseload: cells, order and search, shared by the screen and the text report."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import inf

from coach.model.caseload import ClientSummary, Need
from coach.model.content import Content
from coach.model.exercise import LoadUnit
from coach.model.message_format import fill
from coach.model.messages.therapist import CaseloadMessages
from coach.model.option_names import CaseloadOrder
from coach.progression.needs import adherence, needs_of

_GAP = "  "
_LONGEST_NAME, _LEAST_NEEDS = 24, 12
_NAMES_PART = 4  # of the width, at most one part in so many is for names


@dataclass(frozen=True)
class CaseloadLine:
    """One client as text. `cells` follow the needs: last seen, position, torque in Nm, pain, adherence.

    `unseen_days` is minus infinity where the client was never seen, `adherence` is infinity where it is not known.
    """

    client: ClientSummary
    needs: tuple[Need, ...]
    needs_text: tuple[str, ...]
    cells: tuple[str, ...]
    rank: int
    unseen_days: float
    adherence: float
    text: str


def caseload_line(client: ClientSummary, needs: tuple[Need, ...], content: Content, today: date) -> CaseloadLine:
    """The line of one client, as of `today`."""
    messages = content.messages.therapist.caseload
    limits = content.limit_values(client.limits)
    found = needs_of(client, needs, limits, today)
    needs_text = tuple(messages.need[need.name] for need in found)
    if client.fault:
        needs_text = (f"{needs_text[0]}: {client.fault}" if needs_text else client.fault,)
    unseen = (today - client.last_seen).days if client.last_seen else None
    share = adherence(client, limits["adherence_weeks"], today)
    nothing = messages.nothing
    cells = (
        nothing if unseen is None else messages.today if unseen <= 0 else fill(messages.days, {"days": unseen}),
        nothing if client.fault else _trained(client, content),
        nothing if client.mean_nm is None else _load(client, client.mean_nm, content),
        nothing if client.pain is None else str(client.pain),
        nothing if share is None else fill(messages.share, {"percent": round(share * 100)}),
    )
    return CaseloadLine(
        client=client,
        needs=found,
        needs_text=needs_text,
        cells=cells,
        rank=needs.index(found[0]) if found else len(needs),
        unseen_days=-inf if unseen is None else unseen,
        adherence=inf if share is None else share,
        text=" ".join((client.shown_name, exercise_title(client, content), *needs_text)).casefold(),
    )


def exercise_title(client: ClientSummary, content: Content) -> str:
    """The title of the client's exercise; empty if it is not known."""
    messages = content.messages.exercises.get(client.exercise) if client.exercise is not None else None
    return messages.title if messages is not None else ""


def _trained(client: ClientSummary, content: Content) -> str:
    """The motion that is trained, and the position in degrees."""
    if client.exercise is None:
        return str(client.position_deg)
    position = content.exercise(client.exercise).position(client.position_deg)
    return f"{content.messages.therapist.caseload.direction[position.direction]} {client.position_deg}"


def load_unit(client: ClientSummary, content: Content) -> LoadUnit:
    """The unit of the client's load; newton metres where the exercise is not known."""
    exercise = content.exercises.get(client.exercise or "")
    return "Nm" if exercise is None else exercise.positions[0].load_unit


def _load(client: ClientSummary, mean: float, content: Content) -> str:
    """A mean load with its interval, below the heading Nm: a force says that it is one."""
    unit = load_unit(client, content)
    values = {"mean": f"{mean:.1f}", "unit": "" if unit == "Nm" else f" {unit}"}
    if client.low_nm is None or client.high_nm is None:
        return f"{values['mean']}{values['unit']}"
    interval = {"low": f"{client.low_nm:.1f}", "high": f"{client.high_nm:.1f}"}
    return fill(content.messages.therapist.caseload.load, {**values, **interval})


# Compared from the left; a client without a need comes last.
_ORDERS: Mapping[CaseloadOrder, Callable[[CaseloadLine], tuple[object, ...]]] = {
    "need": lambda line: (line.rank, -len(line.needs), -line.unseen_days, line.client.folder),
    "client": lambda line: (line.client.folder,),
    "seen": lambda line: (-line.unseen_days, line.rank, line.client.folder),
    "load": lambda line: (-(line.client.mean_nm or 0), line.client.folder),
    "pain": lambda line: (-(line.client.pain if line.client.pain is not None else -1), line.rank, line.client.folder),
    "kept": lambda line: (line.adherence, line.rank, line.client.folder),
}
CASELOAD_ORDERS: tuple[CaseloadOrder, ...] = tuple(_ORDERS)


def sorted_lines(lines: Iterable[CaseloadLine], order: CaseloadOrder) -> list[CaseloadLine]:
    """The lines sorted in one of the orders."""
    return sorted(lines, key=_ORDERS[order])


def search_lines(lines: Sequence[CaseloadLine], typed: str) -> list[CaseloadLine]:
    """The lines that contain every word of `typed` in the client's name, exercise or needs, in any case."""
    wanted = typed.casefold().split()
    return [line for line in lines if all(word in line.text for word in wanted)]


@dataclass(frozen=True)
class CaseloadColumns:
    """The widths of the columns in characters; the needs take the remaining width of the page."""

    heads: tuple[str, ...]
    name: int
    needs: int
    others: tuple[int, ...]
    more: str

    @property
    def head(self) -> str:
        """The line of column headings."""
        return self._joined(self.heads[0], self.heads[1], self.heads[2:])

    def line(self, line: CaseloadLine) -> str:
        """One client as a line; a fault in the client's files extends over the cells, which are then empty."""
        if line.client.fault:
            room = self.needs + sum(len(_GAP) + width for width in self.others)
            return f"{fitted(line.client.shown_name, self.name)}{_GAP}{fitted(line.needs_text[0], room)}".rstrip()
        return self._joined(line.client.shown_name, self._needs(line.needs_text), line.cells)

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


def caseload_columns(lines: Sequence[CaseloadLine], messages: CaseloadMessages, width: int) -> CaseloadColumns:
    """The columns for these lines on a page `width` characters wide."""
    heads = messages.columns
    name = min(
        max([len(heads[0]), *(len(line.client.shown_name) for line in lines)]), _LONGEST_NAME, width // _NAMES_PART
    )
    cells = [line.cells for line in lines if not line.client.fault]
    others = tuple(max([len(head), *(len(row[at]) for row in cells)]) for at, head in enumerate(heads[2:]))
    left = width - name - sum(others) - len(_GAP) * (len(others) + 1)
    return CaseloadColumns(heads, name, max(left, _LEAST_NEEDS), others, messages.more)


def fitted(text: str, width: int) -> str:
    """The text in exactly `width` characters: padded with spaces, or cut with an ellipsis."""
    return text.ljust(width) if len(text) <= width else text[: width - 1] + "…"
