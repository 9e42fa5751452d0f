"""The caseload as text, one line for each client."""

from collections.abc import Sequence
from datetime import datetime

from coach.model.content import Content
from coach.model.message_format import fill
from coach.overview.caseload_columns import caseload_columns
from coach.overview.caseload_lines import CaseloadLine, back_text, legend_text, no_session_texts, title_text
from coach.overview.text_columns import WIDTH
from coach.reports.text.layout import paragraph


def caseload_text(
    folder: str,
    lines: Sequence[CaseloadLine],
    at: datetime,
    content: Content,
    came_in: str = "",
    left_out: str = "",
) -> str:
    """The lines in the given order, at most 80 columns wide, with a legend, and why some may not start now.

    `came_in` says what has come from home since the last look; `left_out` says how many discharged clients are not
    among the lines.
    """
    messages = content.messages.therapist.caseload
    title = title_text(folder, lines, content)
    columns = caseload_columns(lines, messages, WIDTH)
    shown = [*paragraph(f"{title}, {fill(messages.as_of, {'time': at.strftime('%Y-%m-%d %H:%M')})}.")]
    shown += [*(paragraph(came_in) if came_in else ()), ""]
    shown += [columns.head, *(columns.line(line) for line in lines), ""]
    shown += paragraph(legend_text(lines, columns.shown, content))
    shown += paragraph(left_out) if left_out else ()
    for text in filter(None, (back_text(line, content) for line in lines)):
        shown += ["", *paragraph(text)]
    refused = [f"{who}: {why}" for line in lines for who, why in no_session_texts(line)]
    if refused:
        shown += ["", messages.no_session_title]
    for text in refused:
        shown += paragraph(text, indent="  ")
    return "\n".join(shown) + "\n"
