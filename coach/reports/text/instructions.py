"""The signed instructions of a client as text."""

from coach.overview.instruction_lines import instruction_lines
from coach.reports.text.layout import heading, paragraph
from coach.store.client_store import ClientStore

_BELOW = " " * 4


def instructions_text(store: ClientStore) -> str:
    """Every signed instruction, the newest first, at most 80 columns wide."""
    messages, records = store.content.messages.therapist.steering, store.records
    pending = [waits for one in store.exercises for waits in one.progress.pending]
    lines = heading(f"{messages.history}: {store.profile.name}")
    newest_first = sorted(store.folder.signed, key=lambda one: one.at, reverse=True)
    for one in newest_first:
        line, *below = instruction_lines(one, store.prescription, records, store.content.messages, pending)
        lines += ["", *paragraph(line)]
        for text in below:
            lines += paragraph(text, _BELOW)
    if not newest_first:
        lines += paragraph(messages.no_history)
    return "\n".join(lines) + "\n"
