"""The caseload as text, one line for each client."""

from collections.abc import Sequence
from datetime import datetime

from coach.model.content import Content
from coach.model.message_format import fill
from coach.overview.caseload_columns import caseload_columns
from coach.overview.caseload_lines import CaseloadLine
from coach.reports.text.layout import WIDTH, paragraph


def caseload_text(folder: str, lines: Sequence[CaseloadLine], at: datetime, content: Content) -> str:
    """The lines in the given order, at most 80 columns wide, with a legend, and why some may not start now."""
    messages = content.messages.therapist.caseload
    needing = sum(1 for line in lines if line.needs)
    title = fill(messages.title, {"folder": folder, "clients": len(lines), "needing": needing})
    columns = caseload_columns(lines, messages, WIDTH)
    weeks = content.limit_values({})["adherence_weeks"]
    shown = [*paragraph(f"{title}, {fill(messages.as_of, {'time': at.strftime('%Y-%m-%d %H:%M')})}."), ""]
    shown += [columns.head, *(columns.line(line) for line in lines), ""]
    shown += paragraph(fill(messages.legend, {"weeks": f"{weeks:g}"}))
    refused = [line.client for line in lines if line.client.no_session]
    if refused:
        shown += ["", messages.no_session_title]
    for client in refused:
        shown += paragraph(f"{client.shown_name}: {client.no_session}", indent="  ")
    return "\n".join(shown) + "\n"
