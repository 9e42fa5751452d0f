"""Records and decisions as text: what was done, what was decided, by which rule, and on which numbers."""

from collections.abc import Iterator
from textwrap import wrap

from coach.files.diagnostic import Diagnostic, render
from coach.files.standing import Agreement
from coach.model.base import fill
from coach.model.content_set import Content
from coach.model.record import Decision
from coach.progression.machine import Judged
from coach.progression.sentences import load_values

_WIDTH = 80
_INDENT = "    "


def history_text(
    name: str,
    judged: tuple[Judged, ...],
    agreement: Agreement,
    faults: tuple[Diagnostic, ...],
    content: Content,
) -> str:
    """Each session with its decision, the newest last; then whether progress.toml says the same."""
    words = content.words.screens.history
    lines = [fill(words.title, {"profile": name}), ""]
    for one in judged:
        lines += [*_session(one, content), ""]
    if not judged:
        lines += [words.none, ""]
    lines += wrap(words.agreement[agreement], _WIDTH)
    lines += [render(fault) for fault in faults]
    return "\n".join(lines) + "\n"


def _session(one: Judged, content: Content) -> Iterator[str]:
    words, record = content.words.screens.history, one.record
    sets = ", ".join(str(done.repetitions) for done in record.sets_done) or words.no_sets
    values = {
        **load_values(record.rungs.step, content),
        "date": record.started.strftime("%Y-%m-%d %H:%M"),
        "position_deg": record.position_deg,
        "sets": sets,
        "goal": record.repetitions,
    }
    yield fill(words.session, values)
    told = record.ended
    if told is None:
        yield _INDENT + words.open
    elif told.decision != one.decision:
        yield from _indented(fill(words.told, {"reason": told.decision.reason}))
    yield from _indented(_decided(one.decision, content))


def _decided(decision: Decision, content: Content) -> str:
    words = content.words.screens
    numbers = ", ".join(f"{name} {value}" for name, value in decision.numbers.items())
    values = {
        "move": words.scale.move[decision.move],
        "rule": decision.rule,
        "reason": decision.reason,
        "numbers": numbers,
        "source": decision.source,
    }
    return fill(words.history.decided, values)


def _indented(text: str) -> list[str]:
    return wrap(text, _WIDTH, initial_indent=_INDENT, subsequent_indent=_INDENT)
