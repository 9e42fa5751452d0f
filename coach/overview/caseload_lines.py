"""The lines of a caseload: cells, order and search, shared by the screen and the text report."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import inf

from coach.model.caseload import ClientSummary, Need
from coach.model.content import Content
from coach.model.exercise import LoadUnit
from coach.model.message_format import fill
from coach.model.option_names import CaseloadColumn, CaseloadOrder
from coach.progression.decision_messages import spread_text
from coach.progression.needs import adherence, needs_of, needs_together, not_reached
from coach.session.phrases import exercise_line


@dataclass(frozen=True)
class ExerciseLine:
    """One exercise of a client's programme: its title with its side, where it stands, and what it needs."""

    summary: ClientSummary
    title: str
    stands: str
    needs: tuple[Need, ...]
    needs_text: tuple[str, ...]


@dataclass(frozen=True)
class CaseloadLine:
    """One client as text. `cells` follow the needs: last seen, position, torque in Nm, pain, adherence.

    Of a programme of several exercises, `exercises` are these in order. The needs are those of any of them, and load,
    status and decision those of the one that needs the therapist most, of two alike the first.

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
    exercises: tuple[ExerciseLine, ...] = ()


def caseload_line(client: ClientSummary, needs: tuple[Need, ...], content: Content, today: date) -> CaseloadLine:
    """The line of one client, as of `today`."""
    messages = content.messages.therapist.caseload
    limits = content.limit_values(client.limits)
    exercises = tuple(_exercise_line(one, needs, content, today) for one in client.exercises)
    found = needs_of(client, needs, limits, today)
    if exercises:
        found = needs_together([one.needs for one in exercises], needs)
        client = _with_worst(client, exercises, found)
    if client.discharged is not None:
        found = ()
    needs_text = tuple(_need_text(need, client, content) for need in found)
    if client.discharged is not None:
        needs_text = (_discharged_text(client, content),)
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
        text=" ".join((client.shown_name, *_titles(client, exercises, content), *needs_text)).casefold(),
        exercises=exercises,
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
    tried = not_reached(client, need)
    return fill(messages.need_tried, {"need": text, "times": len(tried)}) if tried else text


def _discharged_text(client: ClientSummary, content: Content) -> str:
    day = client.discharged.isoformat() if client.discharged is not None else ""
    reasons = content.messages.therapist.visit.reason
    reason = reasons[client.discharge_reason] if client.discharge_reason is not None else ""
    return fill(content.messages.therapist.caseload.discharged, {"day": day, "reason": reason})


def _titles(client: ClientSummary, exercises: Sequence[ExerciseLine], content: Content) -> Iterable[str]:
    return [one.title for one in exercises] or [exercise_title(client, content)]


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


def no_session_texts(line: CaseloadLine) -> list[tuple[str, str]]:
    """Who may not start a session and why: the client, or of several exercises those that may not be done."""
    client = line.client
    if client.no_session or not line.exercises:
        return [(client.shown_name, client.no_session)] if client.no_session else []
    each = ((one.title, one.summary.no_session) for one in line.exercises)
    return [(f"{client.shown_name}, {title}", why) for title, why in each if why]


def legend_text(lines: Iterable[CaseloadLine], shown: Iterable[CaseloadColumn], content: Content) -> str:
    """What the columns that are shown mean, and of several exercises whose load is shown where a client has them."""
    messages, weeks = content.messages.therapist.caseload, content.limit_values({})["adherence_weeks"]
    legend = " ".join(fill(messages.legend[column], {"weeks": f"{weeks:g}"}) for column in shown)
    return f"{legend} {messages.legend_several}" if any(line.exercises for line in lines) else legend


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


def search_lines(lines: Sequence[CaseloadLine], typed: str, with_discharged: bool = False) -> list[CaseloadLine]:
    """The lines that contain every word of `typed` in the client's name, exercise or needs, in any case.

    Clients who were discharged are left out where nothing is typed, except `with_discharged`.
    """
    wanted = typed.casefold().split()
    shown = lines if wanted or with_discharged else in_care(lines)
    return [line for line in shown if all(word in line.text for word in wanted)]


def in_care(lines: Iterable[CaseloadLine]) -> list[CaseloadLine]:
    """The lines of the clients who were not discharged."""
    return [line for line in lines if line.client.discharged is None]
