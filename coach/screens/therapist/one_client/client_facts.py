"""What is known of one client now, as styled text: programme, the last weeks, needs and the last decision."""

from collections.abc import Iterator

from textual.content import Content as StyledText

from coach.drawing.plots.small_curve import small_bar
from coach.model.caseload import ClientSummary
from coach.model.message_format import fill
from coach.model.option_names import SignSetName
from coach.overview.caseload_columns import load_curve, pain_curve
from coach.overview.caseload_lines import CaseloadLine, no_session_texts, stands_text
from coach.overview.measured_sets.course_lines import course_lines
from coach.screens.therapist.report_sources import ReportSources
from coach.session.admission.client_conditions import therapist_lines

_WEEKS = 12
_TITLE, _LEAD = "$secondary", "bold"
_DOT = "· "


def client_facts(
    line: CaseloadLine, sources: ReportSources, signs: SignSetName, with_curves: bool = True, at: int | None = None
) -> StyledText:
    """All that the caseload knows of a client, below each other; small curves where nothing else shows them.

    `at` is the one of several exercises that was chosen; None where none can be.
    """
    messages, client = sources.content.messages.therapist.client_screen, line.client
    if client.fault:
        return _joined(_section(messages.files_title, (client.fault,)))
    needs = tuple(f"{_DOT}{need}" for need in line.needs_text) or (messages.no_need,)
    seen = {"date": client.last_seen or client.prescribed_on}
    curves = tuple(_weeks(line, sources, signs)) if with_curves else ()
    visited = [StyledText(fill(messages.visited, {"date": client.seen_on}))] if client.seen_on is not None else []
    parts = [
        [
            StyledText.styled(fill(messages.stands, _standing(client, sources)), _LEAD),
            StyledText(fill(messages.seen if client.last_seen else messages.never_seen, seen)),
            *visited,
        ],
        _section(messages.needs_title, needs),
        _section(messages.no_session_title, tuple(_refused(line))),
        _section(messages.programme_title, tuple(_programme(line, sources, at))),
        _section(fill(messages.weeks_title, {"weeks": _WEEKS}), curves),
        _section(messages.conditions_title, _conditions(client, sources)),
        _section(messages.measured_title, _measured(line, sources, at)),
        _section(messages.decided_title, _decided(line, at)),
        _section(messages.tell_title, tuple(client.tell.values())),
    ]
    return _joined(*parts)


def _joined(*parts: list[StyledText]) -> StyledText:
    return StyledText("\n\n").join(StyledText("\n").join(part) for part in parts if part)


def _section(title: str, sentences: tuple[str, ...]) -> list[StyledText]:
    """A title with its sentences; nothing where there is none."""
    return [StyledText.styled(title, _TITLE), *map(StyledText, sentences)] if sentences else []


def _standing(client: ClientSummary, sources: ReportSources) -> dict[str, object]:
    messages = sources.content.messages.therapist.client_screen
    return {"status": messages.status[client.status], "sessions": client.sessions}


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


def _weeks(line: CaseloadLine, sources: ReportSources, signs: SignSetName) -> Iterator[str]:
    """Load, pain and kept days with their small curves, one below the other."""
    client, heads = line.client, sources.content.messages.therapist.caseload.columns
    rows = (
        (heads[4], load_curve(client, _WEEKS, signs), line.mean),
        (heads[5], pain_curve(client, _WEEKS, signs), line.cells[3]),
        (heads[6], small_bar(line.adherence, _WEEKS) if line.adherence <= 1 else "", line.cells[4]),
    )
    wide = max(len(label) for label, _, _ in rows)
    for label, curve, value in rows:
        if curve:
            yield f"{label.ljust(wide)}  {curve.ljust(_WEEKS)}  {value}"


def _conditions(client: ClientSummary, sources: ReportSources) -> tuple[str, ...]:
    """The client's conditions and irritability, as of today."""
    limits, today = sources.content.limit_values(client.limits), sources.now().date()
    return therapist_lines(client.condition, client.irritability, sources.content, limits, today)
