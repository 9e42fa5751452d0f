"""The caseload as text: one line a client, those who need somebody first."""

from collections.abc import Sequence
from datetime import datetime

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.caseload import CaseloadWords
from coach.overview.caseload_lines import CaseLine, columns_for
from coach.reports.text.layout import WIDTH, paragraph


def caseload_text(folder: str, lines: Sequence[CaseLine], at: datetime, content: Content) -> str:
    """The lines in the order in which they come, at most 80 columns wide, and what the columns say."""
    words = content.words.of(CaseloadWords)
    needing = sum(1 for line in lines if line.needs)
    title = fill(words.title, {"folder": folder, "clients": len(lines), "needing": needing})
    columns = columns_for(lines, words, WIDTH)
    weeks = content.limit_values({})["adherence_weeks"]
    shown = [*paragraph(f"{title}, {fill(words.as_of, {'time': at.strftime('%Y-%m-%d %H:%M')})}."), ""]
    shown += [columns.head, *(columns.line(line) for line in lines), ""]
    return "\n".join([*shown, *paragraph(fill(words.legend, {"weeks": f"{weeks:g}"}))]) + "\n"
