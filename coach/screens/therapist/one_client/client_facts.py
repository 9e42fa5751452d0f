"""What is known of one client now, in panels: what is due, programme, the last weeks, the last decision and words."""

import re
from collections.abc import Iterator, Sequence
from textwrap import wrap
from typing import NamedTuple

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content as StyledText

from coach.drawing.plots.small_curve import small_bar
from coach.model.caseload import ClientSummary
from coach.model.message_format import fill
from coach.model.option_names import SignSetName
from coach.overview.caseload_columns import load_curve, pain_curve
from coach.overview.caseload_lines import CaseloadLine, no_session_texts, stands_text
from coach.overview.measured_sets.course_lines import course_lines
from coach.screens.therapist.one_client.client_plots import ClientCourse
from coach.screens.therapist.report_sources import ReportSources
from coach.screens.widgets.panel import TextPanel
from coach.session.admission.client_conditions import therapist_lines

_WEEKS, _SHORT_BAR = 12, 8
_DOT = "· "
_MOST_FACTS, _INSTRUCTIONS = 10, 3
_LEAST_COLUMNS = 20
_MARK = re.compile(r" *[·›]? *(\d  )?")


class Due(NamedTuple):
    """A sentence that stands out: what is due."""

    text: str


Sentence = str | Due
Fact = tuple[str, tuple[Sentence, ...]]
"""What is told under one name."""

_NO_FACT: Fact = ("", ())


class ClientFacts(Vertical):
    """The facts of one client as panels below each other."""

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self._panels = tuple(TextPanel() for _ in range(_MOST_FACTS))
        self._facts: Sequence[Fact] = ()

    def compose(self) -> ComposeResult:
        """As many panels as there can be facts; those without one are not shown."""
        yield from self._panels

    def show(self, facts: Sequence[Fact]) -> None:
        """Show the facts of another client."""
        self._facts = facts
        self._lay_out()

    def on_resize(self) -> None:
        """Wrap the sentences again."""
        self._lay_out()

    def _lay_out(self) -> None:
        missing = [_NO_FACT] * (len(self._panels) - len(self._facts))
        for panel, (name, sentences) in zip(self._panels, (*self._facts, *missing), strict=True):
            columns = max(self.size.width - panel.gutter.width, _LEAST_COLUMNS)
            panel.show(name, StyledText("\n").join(_text(one, columns) for one in sentences))


def client_facts(
    line: CaseloadLine,
    sources: ReportSources,
    signs: SignSetName,
    with_curves: bool = True,
    at: int | None = None,
    course: ClientCourse | None = None,
) -> tuple[Fact, ...]:
    """All that is known of a client, what is due first; small curves where nothing else shows the course.

    `at` is the one of several exercises that was chosen; None where none can be.
    Of the `course` it has the newest instructions and visits, and why there is none if it could not be read.
    """
    messages, client = sources.content.messages.therapist.client_screen, line.client
    if client.fault:
        return ((messages.files_title, (client.fault,)),)
    signed = tuple(map(_signed, course.instructions[:_INSTRUCTIONS])) if course is not None else ()
    needs = tuple(Due(f"{_DOT}{need}") for need in line.needs_text)
    facts: tuple[Fact, ...] = (
        (messages.needs_title, needs or (messages.no_need,)),
        (messages.files_title, (course.refused,) if course is not None and course.refused else ()),
        (messages.stands_title, tuple(_standing(line, sources, signs, with_curves))),
        (messages.programme_title, tuple(_programme(line, sources, at))),
        (messages.no_session_title, tuple(_refused(line))),
        (messages.decided_title, _decided(line, at)),
        (messages.tell_title, tuple(client.tell.values())),
        (messages.conditions_title, _conditions(client, sources)),
        (messages.measured_title, _measured(line, sources, at)),
        (messages.instructions_title, signed),
    )
    return tuple((title, sentences) for title, sentences in facts if sentences)


def _text(sentence: Sentence, columns: int) -> StyledText:
    """A sentence in so many columns, its further lines below its first word rather than below its mark."""
    text, style = (sentence.text, "bold") if isinstance(sentence, Due) else (sentence, "")
    lines = (part for line in text.split("\n") for part in _hanging(line, columns))
    return StyledText.styled("\n".join(lines), style)


def _hanging(line: str, columns: int) -> list[str]:
    marked = _MARK.match(line)
    return wrap(line, columns, subsequent_indent=" " * (marked.end() if marked else 0))


def _signed(text: str) -> str:
    """An instruction or a visit: marked, with what belongs to it below."""
    return f"{_DOT}{text}".replace("\n", f"\n{' ' * len(_DOT)}")


def _standing(
    line: CaseloadLine, sources: ReportSources, signs: SignSetName, with_curves: bool
) -> Iterator[Sentence]:
    """The status, when the client was seen, and the last weeks: kept days, and with the curves load and pain."""
    messages, client = sources.content.messages.therapist.client_screen, line.client
    held = client.status == "active" and bool(client.no_session)
    status = messages.held if held else messages.status[client.status]
    yield fill(messages.stands, {"status": status, "sessions": client.sessions})
    seen = {"date": client.last_seen or client.prescribed_on}
    yield fill(messages.seen if client.last_seen else messages.never_seen, seen)
    if client.seen_on is not None:
        yield fill(messages.visited, {"date": client.seen_on})
    yield from _weeks(line, sources, signs, with_curves)


def _programme(line: CaseloadLine, sources: ReportSources, at: int | None) -> Iterator[str]:
    """A line for each exercise, the chosen one marked; of several with what each needs."""
    messages = sources.content.messages.therapist.client_screen
    if not line.exercises:
        yield f"{_DOT}{stands_text(line.client, sources.content)}"
    for number, one in enumerate(line.exercises):
        mark = "› " if number == at else "  "
        text = fill(messages.exercise, {"number": number + 1, "stands": one.stands})
        needs = fill(messages.exercise_needs, {"needs": ", ".join(one.needs_text)}) if one.needs_text else ""
        yield f"{mark}{text} {needs}".rstrip()


def _refused(line: CaseloadLine) -> Iterator[str]:
    for who, why in no_session_texts(line):
        yield f"{who}: {why}" if line.exercises else why


def _decided(line: CaseloadLine, at: int | None) -> tuple[str, ...]:
    """The last decision, of several exercises that of the chosen one."""
    reason = line.exercises[at].summary.reason if line.exercises and at is not None else line.client.reason
    return (reason,) if reason else ()


def _measured(line: CaseloadLine, sources: ReportSources, at: int | None) -> tuple[str, ...]:
    """What a sensor saw, of several exercises of the chosen one."""
    client = line.exercises[at or 0].summary if line.exercises else line.client
    return tuple(course_lines(client.measured, sources.content))


def _weeks(line: CaseloadLine, sources: ReportSources, signs: SignSetName, with_curves: bool) -> Iterator[str]:
    """Load, pain and kept days of the last weeks, one below the other, with their curves."""
    content, client = sources.content, line.client
    messages, head = content.messages.therapist.client_screen, content.messages.therapist.caseload.columns[4]
    kept = fill(messages.kept, {"weeks": f"{content.limit_values(client.limits)['adherence_weeks']:g}"})
    rows = (
        (head, load_curve(client, _WEEKS, signs) if with_curves else "", line.mean),
        (messages.worst_pain, pain_curve(client, _WEEKS, signs) if with_curves else "", line.cells[3]),
        (
            kept,
            small_bar(line.adherence, _WEEKS if with_curves else _SHORT_BAR) if line.adherence <= 1 else "",
            line.cells[4],
        ),
    )
    wide = max(len(label) for label, curve, _ in rows if curve or label == kept)
    for label, curve, value in rows:
        if curve:
            yield f"{label.ljust(wide)}  {curve.ljust(_WEEKS if with_curves else 0)}  {value}"


def _conditions(client: ClientSummary, sources: ReportSources) -> tuple[str, ...]:
    """The client's conditions and irritability, as of today."""
    limits, today = sources.content.limit_values(client.limits), sources.now().date()
    return therapist_lines(client.condition, client.irritability, sources.content, limits, today)
