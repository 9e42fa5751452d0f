"""The words of the therapist so far as text, the newest first."""

from coach.model.content import Content
from coach.model.messages.steering import SteeringWords
from coach.overview.instruction_lines import word_lines
from coach.reports.text.layout import heading, paragraph
from coach.store.client_folder import ProfileFolder

_BELOW = " " * 4


def words_so_far(folder: ProfileFolder, content: Content) -> str:
    """Every sign-off, at most 80 columns wide."""
    words, records = content.words.of(SteeringWords), [one.record for one in folder.kept]
    lines = heading(f"{words.history}: {folder.profile.name}")
    newest_first = sorted(folder.prescription.sign_offs, key=lambda one: one.at, reverse=True)
    for one in newest_first:
        line, *below = word_lines(one, folder.prescription, records, words)
        lines += ["", *paragraph(line)]
        for text in below:
            lines += paragraph(text, _BELOW)
    if not newest_first:
        lines += paragraph(words.no_history)
    return "\n".join(lines) + "\n"
