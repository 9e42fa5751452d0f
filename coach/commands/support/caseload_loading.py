"""What a command loads about the clients of a folder: their content, and one line for each."""

from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.loading import therapist_content
from coach.commands.support.progress_bar import progress_bar

if TYPE_CHECKING:
    from coach.model.content import Content
    from coach.overview.caseload_lines import CaseloadLine


def caseload_content(folder: Path) -> "Content":
    """The content in the therapist's language, with the overrides of the clinic in this folder."""
    from coach.store.client_paths import clinic_in

    return therapist_content(clinic_in(folder))


def caseload_lines(folder: Path, show_progress: bool = False) -> "list[CaseloadLine]":
    """One line for each client, read from the files as they are now; `show_progress` reports on standard error."""
    from coach.content_files.caseload_needs import load_needs
    from coach.content_files.content_folder import content_folder
    from coach.overview.caseload_lines import LineSources, caseload_line, sorted_lines
    from coach.store.caseload import read_caseload
    from coach.store.clock import now

    content = caseload_content(folder)
    at = now().at
    sources = LineSources(load_needs(content_folder()), content, at.date())
    with progress_bar(content.messages.therapist.working.reading) as show:
        read = read_caseload(folder, content, show if show_progress else None, at)
        lines = [caseload_line(client, sources) for client in read]
    return sorted_lines(lines, "client")
