"""The caseload as text, one line for each client."""

from collections.abc import Sequence
from datetime import datetime

from coach.model.content import Content
from coach.model.message_format import fill
from coach.overview.caseload_columns import caseload_columns
from coach.overview.caseload_lines import CaseloadLine, legend_text, no_session_texts
from coach.overview.text_columns import WIDTH
from coach.reports.text.layout import paragraph


def caseload_text(
    folder: str,
    lines: Sequence[CaseloadLine],
    at: datetime,
    content: Content,
    came_in: str = "",
    left_out: int = 0,
) -> str:
    """The lines in the given order, at most 80 columns wide, with a legend, and why some may not start now.

    `came_in` says what has come from home since the last look; `left_out` is how many discharged clients are not
    among the lines.
    """
    messages = content.messages.therapist.caseload
    needing = sum(1 for line in lines if line.needs)
    title = fill(messages.title, {"folder": folder, "clients": len(lines), "needing": needing})
    columns = caseload_columns(lines, messages, WIDTH)
    shown = [*paragraph(f"{title}, {fill(messages.as_of, {'time': at.strftime('%Y-%m-%d %H:%M')})}.")]
    shown += [*(paragraph(came_in) if came_in else ()), ""]
    shown += [columns.head, *(columns.line(line) for line in lines), ""]
    shown += paragraph(legend_text(lines, columns.shown, content))
    if left_out:
        shown += paragraph(fill(messages.discharged_left_out, {"count": left_out}))
    refused = [f"{who}: {why}" for line in lines for who, why in no_session_texts(line)]
    if refused:
        shown += ["", messages.no_session_title]
    for text in refused:
        shown += paragraph(text, indent="  ")
    return "\n".join(shown) + "\n"
