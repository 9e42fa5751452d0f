"""The history of a client as text: each session with its decision, the rule, its numbers and what would change it."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from textwrap import wrap
from types import MappingProxyType
from typing import Literal

from msgspec import Struct

from coach.model import step_names
from coach.model.base import Name
from coach.model.caseload import ClosedSession
from coach.model.content import Content
from coach.model.measured.measured_course import MeasuredCourse
from coach.model.measured.measured_set import MeasuredSet
from coach.model.message_format import fill, localized
from coach.model.messages.therapist_reports import Agreement, Happened, HistoryMessages
from coach.model.progress import Progress
from coach.model.record import Decision, Number, Record
from coach.overview.between_sessions import BetweenSessions, between_sessions, split_at
from coach.overview.measured_sets.course_lines import course_lines
from coach.overview.measured_sets.measured_lines import SetBeside
from coach.progression.counterfactuals import Counterfactual, counterfactuals
from coach.progression.decision_messages import (
    decided_for_therapist,
    labelled_numbers,
    load_placeholders,
    rule_label,
)
from coach.progression.pain_reports import left_open, pain_in_sets
from coach.progression.rule_book import RuleBook
from coach.progression.state_machine import JudgedRecord, decide
from coach.session.admission.trained_closed import closed_at, closed_line
from coach.session.phrases import answer_text
from coach.store.client_store import ClientStore
from coach.store.client_summary import closed_sessions
from coach.store.measured_sets.measured_files import SetKey, set_key
from coach.store.measured_sets.of_client import course_of
from coach.toml.diagnostic import Diagnostic, render

_WIDTH = 80
_INDENT = "    "
_UNMEASURED = MeasuredCourse()
ClosedSessions = Mapping[tuple[datetime, Name | None], ClosedSession]
_HAPPENED: Mapping[str, Happened] = {"load": "less", "repetitions": "repetitions"}  # where the load does not rise
_STOPPED: Mapping[Happened, Happened] = {"same": "stopped", "less": "stopped_less"}


def client_history_text(store: ClientStore) -> str:
    """The history of a client as stored in their folder."""
    saved, measured = store.folder.saved, store.folder.measured
    faults = (*store.folder.saved_faults, *measured.faults)
    return history_text(
        store.profile.name,
        store.sessions,
        store.agreement,
        faults,
        store.content,
        saved,
        store.folded_progress,
        measured.by_set,
        between_sessions_of(store),
        course_of(store),
        closed_at(closed_sessions(store)),
    )


def between_sessions_of(store: ClientStore) -> tuple[BetweenSessions, ...]:
    """The instructions of the exercise and the visits, in order of time."""
    folder, records = store.folder, [one.record for one in store.sessions]
    pending = store.folded_progress.pending
    return between_sessions(store.prescription, records, pending, folder.visits, folder.own_profile, store.content)


def history_text(
    name: str,
    judged: tuple[JudgedRecord, ...],
    agreement: Agreement,
    faults: tuple[Diagnostic, ...],
    content: Content,
    saved: Progress | None = None,
    now: Progress | None = None,
    measured: Mapping[SetKey, MeasuredSet] = MappingProxyType({}),
    between: Sequence[BetweenSessions] = (),
    course: MeasuredCourse = _UNMEASURED,
    closed: ClosedSessions = MappingProxyType({}),
) -> str:
    """Each session with its decision and what would have changed it, the newest last.

    What a sensor measured stands with its session, and what was signed `between` the sessions where it was; a
    session that was done before it was allowed (`closed`) says so. At the end: how much of the `course` was measured,
    whether progress.toml (`saved`) agrees with the records (`now`), and the differences.
    """
    messages = content.messages.therapist.history
    lines = [fill(messages.title, {"profile": name}), ""]
    book = RuleBook(content)
    exercise = ""
    for one in judged:
        signed, between = split_at(between, one.record)
        lines += [line for each in signed for line in _event(each)]
        if one.record.exercise != exercise:
            exercise = one.record.exercise
            lines += [content.messages.exercises[exercise].title, ""]
        first, *below = _session(one, content, book, measured, closed)
        below += _basis(one.decision, content, book)
        lines += [first, *(line for text in below for line in _indented(text)), ""]
    if not judged:
        lines += [messages.none, ""]
    lines += [line for each in between for line in _event(each)]
    lines += [part for line in course_lines(course, content) for part in wrap(line, _WIDTH)]
    lines += [""] if course.sets else []
    first_of_end, *differing = _agreement(judged, agreement, content, saved, now)
    lines += [*wrap(first_of_end, _WIDTH), *(line for text in differing for line in _indented(text))]
    lines += [render(fault) for fault in faults]
    return "\n".join(lines) + "\n"


def _event(one: BetweenSessions) -> list[str]:
    """An instruction or a visit as lines, with an empty one below."""
    return [*wrap(one.line, _WIDTH), *(line for text in one.sentences for line in _indented(text)), ""]


class SessionEntry(Struct, frozen=True):
    """One session, or what was signed between two, as a line, and all that is said of it, a sentence each.

    `basis` is what a decision rests on: its rule and numbers, and the source.
    """

    line: str
    sentences: tuple[str, ...]
    basis: tuple[str, ...] = ()


def session_entries(store: ClientStore) -> tuple[SessionEntry, ...]:
    """The history as a list, the newest first; before it, in an entry of its own, what is wrong with the files."""
    content, saved, measured = store.content, store.folder.saved, store.folder.measured
    book, closed = RuleBook(content), closed_at(closed_sessions(store))
    between: Sequence[BetweenSessions] = between_sessions_of(store)
    entries: list[SessionEntry] = []
    for one in store.sessions:
        signed, between = split_at(between, one.record)
        entries += map(_entry_of, signed)
        line = f"{one.record.started:%Y-%m-%d}  {_happened(one.decision, content)}  {_sets(one.record, content)}"
        told = tuple(_session(one, content, book, measured.by_set, closed))
        entries.append(SessionEntry(line, told, _basis(one.decision, content, book)))
    entries = [*entries, *map(_entry_of, between)][::-1]
    agreement = _agreement(store.sessions, store.agreement, content, saved, store.folded_progress)
    faults = (*store.folder.saved_faults, *measured.faults)
    of_files = [text for text in (*agreement, *map(render, faults)) if text]
    witnessed = tuple(course_lines(course_of(store), content))
    if witnessed:
        entries = [SessionEntry(witnessed[0], witnessed), *entries]
    if store.agreement != "agrees" or len(of_files) > 1 or not entries:
        messages = content.messages.therapist.history
        return SessionEntry(messages.files, tuple(of_files) or (messages.none,)), *entries
    return tuple(entries)


def _entry_of(one: BetweenSessions) -> SessionEntry:
    return SessionEntry(one.line, (one.line, *one.sentences))


def _agreement(
    judged: tuple[JudgedRecord, ...],
    agreement: Agreement,
    content: Content,
    saved: Progress | None,
    now: Progress | None,
) -> Iterator[str]:
    """Whether progress.toml agrees with the records, then each difference."""
    messages = content.messages.therapist.history
    # Without records it cannot be written.
    yield messages.agreement[agreement] if judged or agreement != "missing" else ""
    if agreement == "differs" and saved is not None and now is not None:
        yield from differences(saved, now, content)


def _session(
    one: JudgedRecord,
    content: Content,
    book: RuleBook,
    measured: Mapping[SetKey, MeasuredSet],
    closed: ClosedSessions,
) -> Iterator[str]:
    messages, record = content.messages.therapist.history, one.record
    values = {
        **load_placeholders(record.rungs.step, content),
        "position": content.position_label(record.position, record.exercise),
        "sets": _sets(record, content),
        "goal": record.repetitions,
    }
    day = record.started.strftime("%Y-%m-%d %H:%M")
    yield fill(messages.head, {"date": day, "happened": _happened(one.decision, content)})
    if (record.started, record.name) in closed:
        yield closed_line(closed[record.started, record.name], content)
    yield one.decision.reason
    yield fill(messages.session, values)
    if record.ended is None:
        yield messages.open
    today = decide(one.before, record, book)
    if _outcome(today) != _outcome(one.decision):
        yield fill(messages.today, {"rule": rule_label(today.rule, content), "reason": today.reason})
    yield from _pain(record, messages)
    yield from _pain_reports(record, content)
    for sentence in (*_less(one.decision, book), *one.decision.tell.values()):
        yield fill(messages.tell, {"sentence": sentence})
    yield from _activity_ratings(one, messages, book)
    for counterfactual in counterfactuals(one, book):
        yield "- " + counterfactual_text(counterfactual, one, content)
    yield from _measured(one, content, measured)
    if one.veto is not None:
        decided = {"happened": _happened(one.veto, content), "reason": one.veto.reason}
        reason = " ".join((fill(messages.decided, decided), *_basis(one.veto, content, book)))
        yield fill(content.messages.therapist.measured.since, {"reason": reason})


def _less(decision: Decision, book: RuleBook) -> Iterator[str]:
    """What a stop or a step down means, in words for the therapist."""
    if decision.move in ("stop", "regress"):
        yield decided_for_therapist(decision, book)


def _sets(record: Record, content: Content) -> str:
    """The repetitions of each set."""
    done = ", ".join(str(one.repetitions) for one in record.sets_done)
    return done or content.messages.therapist.history.no_sets


def _measured(one: JudgedRecord, content: Content, measured: Mapping[SetKey, MeasuredSet]) -> Iterator[str]:
    """What a sensor measured of the sets of a session, and where it differs from what was recorded."""
    for done in one.record.sets_done:
        found = measured.get(set_key(one.record, done.number))
        if found is not None:
            beside = SetBeside(found, one, content)
            yield beside.history_line()
            yield from beside.differences()


def _pain(record: Record, messages: HistoryMessages) -> Iterator[str]:
    """The pain at the check-in and the worst one reported in the sets."""
    pains = (record.answer(step_names.PAIN_NOW), pain_in_sets(record).worst)
    before, worst = (messages.no_pain if pain is None else pain for pain in pains)
    if any(pain is not None for pain in pains):
        yield fill(messages.pain, {"before": before, "worst": worst})


def _pain_reports(record: Record, content: Content) -> Iterator[str]:
    """What the client reported with the pain key in each set: kind, place, and intensity out of 10."""
    messages = content.messages.therapist.history
    steps, unsaid = (step_names.TROUBLE, step_names.TROUBLE_WHERE, step_names.TROUBLE_PAIN), left_open(record.entry)
    for number in range(1, record.dose.sets + 1):
        answers = [record.answer(step_names.in_set(number, step)) for step in steps]
        texts = [_answer(answer, content) for answer in answers if answer is not None]
        if step_names.in_set(number, step_names.TROUBLE) in unsaid:
            texts.append(messages.trouble_not_said)
        if texts:
            yield fill(messages.trouble, {"set": number, "said": "; ".join(texts)})


def _answer(value: int | str, content: Content) -> str:
    return f"{value}/10" if isinstance(value, int) else answer_text(value, content)


def _outcome(decision: Decision) -> tuple[object, ...]:
    """The effect of a decision, without its reason and numbers."""
    return decision.move, decision.rule, decision.load, decision.repetitions, decision.status


def _activity_ratings(one: JudgedRecord, messages: HistoryMessages, book: RuleBook) -> Iterator[str]:
    """The ratings of the client's own activities (C11), if this session has new ones."""
    if one.after.ratings == one.before.ratings:
        return
    first, last = one.after.ratings[0], one.after.ratings[-1]
    limit = book.limits(one.record.limits)["activity_change"]
    values = {"mean": last.mean, "since": f"{last.mean - first.mean:+.1f}", "limit": f"{limit:g}"}
    yield fill(messages.rated, values)


def counterfactual_text(counterfactual: Counterfactual, judged: JudgedRecord, content: Content) -> str:
    """A counterfactual as a sentence: what would have been different, and the decision it would have led to."""
    decision, record, messages = counterfactual.decision, judged.record, content.messages.therapist.history
    status: Literal["review", "complete"] | None = None
    if decision.status == "review" or decision.status == "complete":
        status = decision.status
    variable: Literal["load", "repetitions", "hold"] = (
        "load" if decision.variable == "load" else "repetitions" if decision.variable else "hold"
    )
    values = {
        "sessions": counterfactual.sessions,
        "goal": judged.after.repetitions if counterfactual.change == "more_sessions" else record.repetitions,
        "from_nm": f"{record.rungs.step.mean_nm:.2f}",
        "to_nm": f"{decision.load.mean_nm:.2f}",
        **{name: load_placeholders(decision.load, content)[name] for name in ("unit", "spread")},
        "repetitions": decision.repetitions,
        "rule": rule_label(decision.rule, content),
    }
    leads = fill(messages.leads[status or variable], values)
    return fill(messages.change[counterfactual.change], {**values, "leads": leads})


def differences(saved: Progress, now: Progress, content: Content) -> Iterator[str]:
    """A sentence for each field in which progress.toml and the records differ."""
    messages, both = content.messages.therapist.history, [_fields(progress, content) for progress in (saved, now)]
    for name in both[0]:
        values = [fields[name] for fields in both]
        if values[0] != values[1]:
            one, other = (_one_line(value, messages) for value in values)
            yield fill(messages.difference, {"what": name, "saved": one, "records": other})


def _fields(progress: Progress, content: Content) -> dict[str, object]:
    """The fields of a progress; of its decision only the outcome."""
    decision = progress.decision
    outcome = decision and {
        "rule": rule_label(decision.rule, content),
        "mean_nm": decision.load.mean_nm,
        "repetitions": decision.repetitions,
        "status": decision.status,
    }
    return {**progress.model_dump(exclude={"decision"}), "decision": outcome}


def _one_line(value: object, messages: HistoryMessages) -> str:
    """A value of progress.toml on one line."""
    if isinstance(value, dict):
        return (
            ", ".join(f"{name} {localized(each, messages.difference)}" for name, each in value.items())
            or messages.not_said
        )
    if isinstance(value, list | tuple):
        return "; ".join(_one_line(each, messages) for each in value) or messages.not_said
    return messages.not_said if value is None else localized(value, messages.difference)


def _happened(decision: Decision, content: Content) -> str:
    """What a decision did to load and repetitions, in a few words."""
    change: Happened = "more" if decision.raises_load else _HAPPENED.get(decision.variable or "", "same")
    if decision.move == "stop":
        change = _STOPPED.get(change, change)
    return content.messages.therapist.history.happened[change]


def _basis(decision: Decision, content: Content, book: RuleBook) -> tuple[str, str]:
    """The rule, the numbers that were looked at and that the reason does not say, and the source of the rule."""
    messages, told = content.messages.therapist.history, decision.numbers
    named = labelled_numbers({name: _two_decimals(name, value) for name, value in told.items()}, book)
    if told.get("from_nm") == told.get("to_nm"):
        named.pop("to_nm", None)
    numbers = ", ".join(
        fill(messages.number.get(name, f"{name} {{value}}"), {"value": value, "unit": decision.load.load_unit})
        for name, value in named.items()
        if not (isinstance(told[name], str) and str(value) in decision.reason)
    )
    values = {"rule": rule_label(decision.rule, content), "numbers": numbers}
    return fill(messages.numbers, values), fill(messages.source, {"source": decision.source})


def _two_decimals(name: str, value: Number) -> Number:
    return f"{value:.2f}" if name in ("from_nm", "to_nm") else value


def _indented(text: str) -> list[str]:
    return wrap(text, _WIDTH, initial_indent=_INDENT, subsequent_indent=_INDENT)
