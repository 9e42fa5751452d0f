"""The lines of a caseload: cells, order and search, shared by the screen and the text report."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from functools import cached_property
from math import inf
from typing import Any, TypeVar

from msgspec import Struct

from coach.model.caseload import ClientSummary, Need, packed, shown_name, unpacked
from coach.model.content import Content
from coach.model.exercise import LoadUnit
from coach.model.message_format import fill
from coach.model.messages.therapist import FirstOpened
from coach.model.option_names import CaseloadColumn, CaseloadOrder
from coach.progression.decision_messages import spread_text
from coach.progression.needs import adherence, needs_of, needs_on_list, needs_together, not_reached
from coach.session.admission.trained_closed import closed_text
from coach.session.phrases import exercise_line

CURVE_WEEKS = 8  # the curves in a line show so many weeks, up to the client's last session

Value = TypeVar("Value")


class ExerciseLine(Struct, frozen=True):
    """One exercise of a client's programme: its title with its side, where it stands, and what it needs."""

    summary: ClientSummary
    title: str
    stands: str
    needs: tuple[Need, ...]
    needs_text: tuple[str, ...]


class CaseloadLine(Struct, frozen=True):
    """One client as text. `cells` follow the needs: last seen, position, torque in Nm, pain, adherence.

    Of a programme of several exercises, the needs are those of any of them, and load, status and decision those of
    the one that needs the therapist most, of two alike the first.

    `mean` is the torque without its interval; `has_load` and `has_pain` say whether there is a curve of either.

    `discharged` says that the client is left out of the list: not where something came that the discharge did not
    know of and that holds the client. `since_discharge` is how many sessions it did not know of.

    `unseen_days` is minus infinity where the client was never seen, `adherence` is infinity where it is not known.

    It holds what lists are ordered and searched by, and the summary as text: all lines of a folder are held at once,
    and a summary is five times as large.
    """

    folder: str
    fault: str
    needs: tuple[Need, ...]
    needs_text: tuple[str, ...]
    cells: tuple[str, ...]
    mean: str
    rank: int
    unseen_days: float
    adherence: float
    load: float
    pain: int
    discharged: bool
    since_discharge: int
    several: bool
    has_load: bool
    has_pain: bool
    text: str
    summary: str
    made_from: "LineSources"

    @property
    def client(self) -> ClientSummary:
        """The client; of several exercises, as the one that needs the therapist most."""
        client = unpacked(self.summary)
        return _with_worst(client, self.made_from.exercises(client), self.needs) if self.several else client

    @property
    def exercises(self) -> tuple[ExerciseLine, ...]:
        """Each exercise of a programme of several, in order; none where there is only one."""
        return self.made_from.exercises(unpacked(self.summary)) if self.several else ()

    @property
    def shown_name(self) -> str:
        """The name of the folder without control characters."""
        return shown_name(self.folder)


class LineSources(Struct, frozen=True, dict=True):
    """What the lines of one caseload are made from."""

    needs: tuple[Need, ...]
    content: Content
    today: date

    def exercises(self, client: ClientSummary) -> tuple[ExerciseLine, ...]:
        """A line for each exercise of a programme of several."""
        return tuple(_exercise_line(one, self.needs, self.content, self.today) for one in client.exercises)

    @cached_property
    def known(self) -> dict[object, Any]:
        """Values by their keys: most clients share their cells, their needs and the words for them."""
        return {}

    def shared(self, value: Value) -> Value:
        """Of equal values always the first."""
        return self.known.setdefault(value, value)  # type: ignore[no-any-return]  # what it was put in as


def caseload_line(client: ClientSummary, sources: LineSources) -> CaseloadLine:
    """The line of one client."""
    content, needs, summary = sources.content, sources.needs, packed(client)
    messages = content.messages.therapist.caseload
    limits = content.limit_values(client.limits)
    exercises = sources.exercises(client)
    found = needs_of(client, needs, limits, sources.today)
    if exercises:
        found = needs_together([one.needs for one in exercises], needs)
        client = _with_worst(client, exercises, found)
    found = needs_on_list(client, found)
    needs_text = tuple(_need_text(need, client, content) for need in found)
    if client.discharged is not None:
        needs_text = (*needs_text, _discharged_text(client, content))
    if client.fault:
        needs_text = (f"{needs_text[0]}: {client.fault}" if needs_text else client.fault,)
    unseen = (sources.today - client.last_seen).days if client.last_seen else None
    share = adherence(client, limits["adherence_weeks"], sources.today)
    nothing, shared = messages.nothing, sources.shared
    cells = (
        nothing if unseen is None else messages.today if unseen <= 0 else fill(messages.days, {"days": unseen}),
        nothing if client.fault else _trained(client, content),
        nothing if client.mean_nm is None else _load(client, client.mean_nm, content),
        nothing if client.pain is None else str(client.pain),
        nothing if share is None else fill(messages.share, {"percent": round(share * 100)}),
    )
    return CaseloadLine(
        folder=client.folder,
        fault=client.fault,
        needs=sources.known.setdefault(tuple(need.name for need in found), found),
        needs_text=shared(needs_text),
        cells=shared(cells),
        mean=shared(nothing if client.mean_nm is None else _mean(client, client.mean_nm, content)),
        rank=needs.index(found[0]) if found else len(needs),
        unseen_days=shared(-inf if unseen is None else float(unseen)),
        adherence=shared(inf if share is None else share),
        load=shared(client.mean_nm or 0.0),
        pain=-1 if client.pain is None else client.pain,
        discharged=client.discharged is not None and not found,
        since_discharge=client.since_discharge,
        several=bool(exercises),
        has_load=any((one.load or 0) > 0 for one in client.weeks[-CURVE_WEEKS:]),
        has_pain=any(one.pain is not None for one in client.weeks[-CURVE_WEEKS:]),
        text=" ".join(
            (client.shown_name, *_titles(client, exercises, content), *_positions(client, content), *needs_text)
        ).casefold(),
        summary=summary,
        made_from=sources,
    )


# What a client's line takes from one of several exercises.
_OF_THE_WORST = (
    *("status", "exercise", "position", "mean_nm", "low_nm", "high_nm", "repetitions", "sessions"),
    *("under_sessions", "rule", "reason", "limits"),
)


def _with_worst(client: ClientSummary, exercises: Sequence[ExerciseLine], found: tuple[Need, ...]) -> ClientSummary:
    def rank(one: ExerciseLine) -> int:
        return next((rank for rank, need in enumerate(found) if need in one.needs), len(found))

    worst = min(exercises, key=rank).summary
    return client.model_copy(update={key: getattr(worst, key) for key in _OF_THE_WORST})


def _exercise_line(one: ClientSummary, needs: tuple[Need, ...], content: Content, today: date) -> ExerciseLine:
    found = needs_of(one, needs, content.limit_values(one.limits), today)
    title = exercise_line(one.exercise or "", one.side or "right", content)
    told = tuple(_need_text(each, one, content) for each in found)
    return ExerciseLine(one, title, stands_text(one, content, title), found, told)


def _need_text(need: Need, client: ClientSummary, content: Content) -> str:
    """A need in a few words: a warning sign with its name, and how often the client was not reached about it."""
    messages, signs = content.messages.therapist.caseload, content.messages.safety.sign
    text = messages.need[need.name]
    if need.when == "in_review_by" and client.sign is not None:
        text = fill(messages.need_sign, {"need": text, "sign": signs.get(client.sign, client.sign)})
    if need.when == "trained_closed" and client.trained_closed is not None:
        text = closed_text(client.trained_closed, content)
    tried = not_reached(client, need)
    return fill(messages.need_tried, {"need": text, "times": len(tried)}) if tried else text


def _discharged_text(client: ClientSummary, content: Content) -> str:
    day = client.discharged.isoformat() if client.discharged is not None else ""
    reasons = content.messages.therapist.visit.reason
    reason = reasons[client.discharge_reason] if client.discharge_reason is not None else ""
    messages, since = content.messages.therapist.caseload, client.since_discharge
    if since:  # said first: the end of the line may be cut off
        return fill(messages.discharged_trained, {"count": since, "day": day, "reason": reason})
    return fill(messages.discharged, {"day": day, "reason": reason})


def _titles(client: ClientSummary, exercises: Sequence[ExerciseLine], content: Content) -> Iterable[str]:
    return [one.title for one in exercises] or [exercise_title(client, content)]


def _positions(client: ClientSummary, content: Content) -> Iterable[str]:
    """What is trained in which position, as the line shows it; of several exercises also that of each."""
    return [] if client.fault else [_trained(one, content) for one in (client, *client.exercises) if not one.fault]


def stands_text(client: ClientSummary, content: Content, title: str = "") -> str:
    """Where a client stands with one exercise: exercise, position, load and goal, in a few words.

    `title` is what the exercise is called, by default its own title.
    """
    messages = content.messages.therapist.client_screen
    spread = spread_text(client.low_nm, client.high_nm, content)
    mean = f"{client.mean_nm:.2f}" if client.mean_nm is not None else None
    average = {"mean": mean, "unit": load_unit(client, content), "spread": spread}
    values = {
        "exercise": title or exercise_title(client, content),
        "position": content.position_label(client.position, client.exercise),
        "load": messages.no_load if mean is None else fill(messages.load, average),
        "repetitions": client.repetitions,
    }
    return fill(messages.programme_line, values)


def opened_first(line: CaseloadLine) -> FirstOpened:
    """The page of a client on which what is due first can be answered; where nothing is due, the next session."""
    return line.needs[0].opens if line.needs else "preview"


def needing_exercise(line: CaseloadLine) -> int:
    """Which exercise of the programme has what is due first, counted from 0; the first where none of them has it."""
    due = line.needs[:1]
    return next((number for number, one in enumerate(line.exercises) if set(due) & set(one.needs)), 0)


def no_session_texts(line: CaseloadLine) -> list[tuple[str, str]]:
    """Who may not start a session and why: the client, or of several exercises those that may not be done."""
    client = line.client
    if client.no_session or not line.several:
        return [(client.shown_name, client.no_session)] if client.no_session else []
    each = ((one.title, one.summary.no_session) for one in line.exercises)
    return [(f"{client.shown_name}, {title}", why) for title, why in each if why]


def legend_text(lines: Iterable[CaseloadLine], shown: Iterable[CaseloadColumn], content: Content) -> str:
    """What the columns that are shown mean, and of several exercises whose load is shown where a client has them."""
    messages, weeks = content.messages.therapist.caseload, content.limit_values({})["adherence_weeks"]
    legend = " ".join(fill(messages.legend[column], {"weeks": f"{weeks:g}"}) for column in shown)
    return f"{legend} {messages.legend_several}" if any(line.several for line in lines) else legend


def exercise_title(client: ClientSummary, content: Content) -> str:
    """The title of the client's exercise; empty if it is not known."""
    messages = content.messages.exercises.get(client.exercise) if client.exercise is not None else None
    return messages.title if messages is not None else ""


def _trained(client: ClientSummary, content: Content) -> str:
    """The motion that is trained, and the position in degrees; of several exercises how many there are."""
    if client.exercises:
        return fill(content.messages.therapist.caseload.exercises, {"count": len(client.exercises)})
    if client.exercise is None:
        return str(client.position)
    position = content.exercise(client.exercise).position(client.position)
    return f"{content.messages.therapist.caseload.direction[position.direction]} {client.position}"


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
    """What follows a load in its column, whose heading says Nm: nothing, or the unit of a force."""
    unit = load_unit(client, content)
    return "" if unit == "Nm" else f" {unit}"


# Compared from the left; a client without a need comes last.
_ORDERS: Mapping[CaseloadOrder, Callable[[CaseloadLine], tuple[object, ...]]] = {
    "need": lambda line: (line.rank, -len(line.needs), -line.unseen_days, line.folder),
    "client": lambda line: (line.folder,),
    "seen": lambda line: (-line.unseen_days, line.rank, line.folder),
    "load": lambda line: (-line.load, line.folder),
    "pain": lambda line: (-line.pain, line.rank, line.folder),
    "kept": lambda line: (line.adherence, line.rank, line.folder),
}
CASELOAD_ORDERS: tuple[CaseloadOrder, ...] = tuple(_ORDERS)


def sorted_lines(lines: Iterable[CaseloadLine], order: CaseloadOrder) -> list[CaseloadLine]:
    """The lines sorted in one of the orders."""
    return sorted(lines, key=_ORDERS[order])


def search_lines(lines: Sequence[CaseloadLine], typed: str, with_discharged: bool = False) -> list[CaseloadLine]:
    """The lines that contain every word of `typed` in the client's name, exercises, positions or needs, in any case.

    Clients who were discharged are left out where nothing is typed, except `with_discharged`.
    """
    wanted = typed.casefold().split()
    shown = lines if wanted or with_discharged else in_care(lines)
    return [line for line in shown if all(word in line.text for word in wanted)]


def in_care(lines: Iterable[CaseloadLine]) -> list[CaseloadLine]:
    """The lines of the clients who were not discharged, and of those whom a need puts back on the list."""
    return [line for line in lines if not line.discharged]


def title_text(folder: str, lines: Sequence[CaseloadLine], content: Content) -> str:
    """How many of the clients of a folder need the therapist."""
    messages, needing = content.messages.therapist.caseload, sum(1 for line in lines if line.needs)
    if len(lines) == 1:  # in which the verb follows the one client, and not how many need somebody
        return fill(messages.title_of_one, {"folder": folder, "needing": needing})
    return fill(messages.title, {"folder": folder, "clients": len(lines), "needing": needing})


def back_text(line: CaseloadLine, content: Content) -> str:
    """What came of a client after a discharge that did not know of it, in full; empty where nothing did."""
    if not line.since_discharge:
        return ""
    *needs, discharged = line.needs_text
    if not needs:
        return f"{line.shown_name}, {discharged}."
    values = {"client": line.shown_name, "discharged": discharged, "needs": ", ".join(needs)}
    return fill(content.messages.therapist.caseload.discharged_needs, values)


def left_out_text(lines: Iterable[CaseloadLine], content: Content) -> str:
    """How many clients are left out because they were discharged, and how many of them trained since; else empty."""
    messages, out = content.messages.therapist.caseload, [line for line in lines if line.discharged]
    if not out:
        return ""
    trained = sum(1 for line in out if line.since_discharge)
    text = fill(messages.discharged_left_out, {"count": len(out)})
    return f"{text} {fill(messages.left_out_trained, {'count': trained})}" if trained else text
