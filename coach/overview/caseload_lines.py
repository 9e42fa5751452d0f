"""The lines of a caseload: cells, order and search, shared by the screen and the text report."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import inf

from coach.model.caseload import ClientSummary, Need
from coach.model.content import Content
from coach.model.exercise import LoadUnit
from coach.model.message_format import fill
from coach.model.option_names import CaseloadOrder
from coach.progression.needs import adherence, needs_of


@dataclass(frozen=True)
class CaseloadLine:
    """One client as text. `cells` follow the needs: last seen, position, torque in Nm, pain, adherence.

    `mean` is the torque without its interval.

    `unseen_days` is minus infinity where the client was never seen, `adherence` is infinity where it is not known.
    """

    client: ClientSummary
    needs: tuple[Need, ...]
    needs_text: tuple[str, ...]
    cells: tuple[str, ...]
    mean: str
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
        mean=nothing if client.mean_nm is None else _mean(client, client.mean_nm, content),
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
    """A mean load with its interval."""
    if client.low_nm is None or client.high_nm is None:
        return _mean(client, mean, content)
    values = {"mean": f"{mean:.1f}", "unit": _unit(client, content)}
    interval = {"low": f"{client.low_nm:.1f}", "high": f"{client.high_nm:.1f}"}
    return fill(content.messages.therapist.caseload.load, {**values, **interval})


def _mean(client: ClientSummary, mean: float, content: Content) -> str:
    return f"{mean:.1f}{_unit(client, content)}"


def _unit(client: ClientSummary, content: Content) -> str:
    """What follows a load below the heading Nm: a force says that it is one."""
    unit = load_unit(client, content)
    return "" if unit == "Nm" else f" {unit}"


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
