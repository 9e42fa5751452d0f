"""What is known of one client now, as styled text: programme, the last weeks, needs and the last decision."""

from collections.abc import Iterator

from textual.content import Content as StyledText

from coach.drawing.plots.small_curve import small_bar
from coach.model.caseload import ClientSummary
from coach.model.message_format import fill
from coach.model.option_names import SignSetName
from coach.overview.caseload_columns import load_curve, pain_curve
from coach.overview.caseload_lines import CaseloadLine, exercise_title, load_unit
from coach.progression.decision_messages import spread_text
from coach.screens.therapist.report_sources import ReportSources
from coach.session.admission.client_conditions import therapist_lines

_WEEKS = 12
_TITLE, _LEAD = "$secondary", "bold"
_DOT = "· "


def client_facts(
    line: CaseloadLine, sources: ReportSources, signs: SignSetName, with_curves: bool = True
) -> StyledText:
    """All that the caseload knows of a client, below each other; small curves where nothing else shows them."""
    messages, client = sources.content.messages.therapist.client_screen, line.client
    if client.fault:
        return _joined(_section(messages.files_title, (client.fault,)))
    needs = tuple(f"{_DOT}{need}" for need in line.needs_text) or (messages.no_need,)
    seen = {"date": client.last_seen or client.prescribed_on}
    curves = tuple(_weeks(line, sources, signs)) if with_curves else ()
    parts = [
        [
            StyledText.styled(fill(messages.stands, _standing(client, sources)), _LEAD),
            StyledText(fill(messages.seen if client.last_seen else messages.never_seen, seen)),
        ],
        _section(messages.needs_title, needs),
        _section(messages.no_session_title, (client.no_session,) if client.no_session else ()),
        _section(messages.programme_title, tuple(_programme(client, sources))),
        _section(fill(messages.weeks_title, {"weeks": _WEEKS}), curves),
        _section(messages.conditions_title, _conditions(client, sources)),
        _section(messages.decided_title, (client.reason,) if client.reason else ()),
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


def _programme(client: ClientSummary, sources: ReportSources) -> Iterator[str]:
    """A line for each exercise."""
    messages = sources.content.messages.therapist.client_screen
    spread = spread_text(client.low_nm, client.high_nm, sources.content)
    mean = f"{client.mean_nm:.2f}" if client.mean_nm is not None else None
    average = {"mean": mean, "unit": load_unit(client, sources.content), "spread": spread}
    values = {
        "exercise": exercise_title(client, sources.content),
        "position": client.position_deg,
        "load": messages.no_load if mean is None else fill(messages.load, average),
        "repetitions": client.repetitions,
    }
    yield f"{_DOT}{fill(messages.programme_line, values)}"


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
