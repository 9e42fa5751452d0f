"""Records and decisions as text: what was done, what was decided, by which rule, and on which numbers."""

from collections.abc import Iterator
from textwrap import wrap
from typing import Literal

from coach.model import step_names
from coach.model.content import Content
from coach.model.message_format import as_said, fill
from coach.model.messages.history import HistoryWords
from coach.model.progress import Progress
from coach.model.record import Decision, Record
from coach.progression.counterfactuals import Counterfactual, counterfactuals
from coach.progression.decision_messages import load_placeholders, labelled_numbers
from coach.progression.rule_book import RuleBook
from coach.progression.state_machine import JudgedRecord, decide
from coach.session.phrases import label
from coach.store.client_store import Agreement, ClientStore
from coach.toml.diagnostic import Diagnostic, render

_WIDTH = 80
_INDENT = "    "


def history_of(store: ClientStore) -> str:
    """The history of a client as the files tell it."""
    saved, faults = store.folder.saved, store.folder.saved_faults
    return history_text(
        store.profile.name, store.sessions, store.agreement, faults, store.content, saved, store.folded_progress
    )


def history_text(
    name: str,
    judged: tuple[JudgedRecord, ...],
    agreement: Agreement,
    faults: tuple[Diagnostic, ...],
    content: Content,
    saved: Progress | None = None,
    now: Progress | None = None,
) -> str:
    """Each session with its decision and what would have changed it, the newest last; then whether progress.toml
    says the same, and where it differs: `saved` is what it says, `now` what the records say."""
    words = content.words.of(HistoryWords)
    lines = [fill(words.title, {"profile": name}), ""]
    book = RuleBook(content)
    exercise = ""
    for one in judged:
        if one.record.exercise != exercise:
            exercise = one.record.exercise
            lines += [content.words.exercises[exercise].title, ""]
        lines += [*_session(one, content, book), ""]
    if not judged:
        lines += [words.none, ""]
    if judged or agreement != "missing":  # without a record there is nothing to write it from
        lines += wrap(words.agreement[agreement], _WIDTH)
    if agreement == "differs" and saved is not None and now is not None:
        lines += [line for text in differences(saved, now, words) for line in _indented(text)]
    lines += [render(fault) for fault in faults]
    return "\n".join(lines) + "\n"


def _session(one: JudgedRecord, content: Content, book: RuleBook) -> Iterator[str]:
    words, record = content.words.of(HistoryWords), one.record
    sets = ", ".join(str(done.repetitions) for done in record.sets_done) or words.no_sets
    values = {
        **load_placeholders(record.rungs.step, content),
        "date": record.started.strftime("%Y-%m-%d %H:%M"),
        "position_deg": record.position_deg,
        "sets": sets,
        "goal": record.repetitions,
    }
    yield fill(words.session, values)
    if record.ended is None:
        yield _INDENT + words.open
    yield from _indented(_decided(one.decision, content, book))
    today = decide(one.before, record, book)
    if _stands(today) != _stands(one.decision):
        yield from _indented(fill(words.today, {"rule": today.rule, "reason": today.reason}))
    yield from _troubles(record, content)
    for sentence in one.decision.tell.values():
        yield from _indented(fill(words.tell, {"sentence": sentence}))
    yield from _rated(one, words, book)
    for neighbour in counterfactuals(one, book):
        yield from _indented("- " + would_change(neighbour, one, words))


def _troubles(record: Record, content: Content) -> Iterator[str]:
    """What the client pressed the pain key for, in each set: what kind, where, and how much of 10."""
    words = content.words.of(HistoryWords)
    steps = (step_names.TROUBLE, step_names.TROUBLE_WHERE, step_names.TROUBLE_PAIN)
    for number in range(1, record.dose.sets + 1):
        said = [record.answer(step_names.in_set(number, step)) for step in steps]
        in_words = [f"{one}/10" if isinstance(one, int) else label(one, content) for one in said if one is not None]
        if in_words:
            yield from _indented(fill(words.trouble, {"set": number, "said": "; ".join(in_words)}))


def _stands(decision: Decision) -> tuple[object, ...]:
    """What a decision comes down to, whatever words and numbers go with it."""
    return decision.move, decision.rule, decision.load, decision.repetitions, decision.status


def _rated(one: JudgedRecord, words: HistoryWords, book: RuleBook) -> Iterator[str]:
    """The client's own activities, where they were rated in this session (C11)."""
    if one.after.ratings == one.before.ratings:
        return
    first, last = one.after.ratings[0], one.after.ratings[-1]
    limit = book.limits(one.record.limits)["activity_change"]
    values = {"mean": last.mean, "since": f"{last.mean - first.mean:+.1f}", "limit": f"{limit:g}"}
    yield from _indented(fill(words.rated, values))


def would_change(neighbour: Counterfactual, judged: JudgedRecord, words: HistoryWords) -> str:
    """One thing different and what it would have led to, in one sentence; every number is the machine's own."""
    decision, record = neighbour.decision, judged.record
    status: Literal["review", "complete"] | None = None
    if decision.status == "review" or decision.status == "complete":
        status = decision.status
    variable: Literal["load", "repetitions", "hold"] = (
        "load" if decision.variable == "load" else "repetitions" if decision.variable else "hold"
    )
    values = {
        "sessions": neighbour.sessions,
        "goal": judged.after.repetitions if neighbour.change == "more_sessions" else record.repetitions,
        "from_nm": f"{record.rungs.step.mean_nm:.2f}",
        "to_nm": f"{decision.load.mean_nm:.2f}",
        "repetitions": decision.repetitions,
        "rule": decision.rule,
    }
    leads = fill(words.leads[status or variable], values)
    return fill(words.change[neighbour.change], {**values, "leads": leads})


def differences(saved: Progress, now: Progress, words: HistoryWords) -> Iterator[str]:
    """Each thing in which progress.toml and the records differ."""
    one, other = saved.model_dump(exclude={"decision"}), now.model_dump(exclude={"decision"})
    for what in one:
        if one[what] != other[what]:
            values = {"what": what, "saved": _short(one[what], words), "records": _short(other[what], words)}
            yield fill(words.difference, values)
    stands = [None if each.decision is None else _came_down_to(each.decision) for each in (saved, now)]
    if stands[0] != stands[1]:
        told = {name: _short(each, words) for name, each in zip(("saved", "records"), stands, strict=True)}
        yield fill(words.difference, {"what": "decision", **told})


def _came_down_to(decision: Decision) -> dict[str, object]:
    return {
        "rule": decision.rule,
        "mean_nm": decision.load.mean_nm,
        "repetitions": decision.repetitions,
        "status": decision.status,
    }


def _short(value: object, words: HistoryWords) -> str:
    """A value of progress.toml on one line."""
    if isinstance(value, dict):
        return (
            ", ".join(f"{name} {as_said(each, words.difference)}" for name, each in value.items()) or words.not_said
        )
    if isinstance(value, list | tuple):
        return "; ".join(_short(each, words) for each in value) or words.not_said
    return words.not_said if value is None else as_said(value, words.difference)


def _decided(decision: Decision, content: Content, book: RuleBook) -> str:
    moves, words = content.words.screens.scale.move, content.words.of(HistoryWords)
    named = labelled_numbers(decision.numbers, book).items()
    numbers = ", ".join(fill(words.number.get(name, f"{name} {{value}}"), {"value": value}) for name, value in named)
    values = {
        "move": moves[decision.move],
        "rule": decision.rule,
        "reason": decision.reason,
        "numbers": numbers,
        "source": decision.source,
    }
    return fill(words.decided, values)


def _indented(text: str) -> list[str]:
    return wrap(text, _WIDTH, initial_indent=_INDENT, subsequent_indent=_INDENT)
