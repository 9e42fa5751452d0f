"""A caseload read to its end."""

from datetime import datetime
from pathlib import Path

from coach.model.caseload import ClientSummary
from coach.model.content import Content
from coach.store import caseload
from coach.store.client_pool import OnProgress


def read_caseload(
    folder: Path, content: Content, on_progress: OnProgress | None = None, at: datetime | None = None
) -> tuple[ClientSummary, ...]:
    """One summary of each client, in order of the folders' names."""
    return tuple(sorted(caseload.read_caseload(folder, content, on_progress, at), key=lambda one: one.folder))
