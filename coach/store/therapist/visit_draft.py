"""What was typed at a visit and not signed yet: kept in the client's folder, so that leaving loses nothing."""

from datetime import datetime
from pathlib import Path
from typing import Literal

from coach.frozen import AwareDatetime
from coach.model.base import Frozen
from coach.system import remove
from coach.toml.atomic_write import replace_file
from coach.toml.diagnostic import FileFault, printable
from coach.toml.reader import is_there, read_model
from coach.toml.writer import dump

DRAFT = ".visit.toml"


class VisitDraft(Frozen):
    """The text of each field as it was typed, and when the last of them was."""

    format: Literal[2] = 2
    at: AwareDatetime
    typed: dict[str, str]


def read_draft(client: Path) -> VisitDraft | None:
    """What was typed and not signed; None where there is nothing, or nothing that can be read."""
    try:
        return read_model(client / DRAFT, VisitDraft) if is_there(client / DRAFT) else None
    except FileFault:
        return None


def keep_draft(client: Path, typed: dict[str, str], at: datetime) -> None:
    """Keep what was typed, completely or not at all. Raises OSError.

    A character that no file may hold is kept as the sign for one, so that the rest can be read again.
    """
    kept = VisitDraft(at=at, typed={key: printable(text) for key, text in typed.items()})
    replace_file(client / DRAFT, dump(kept.model_dump()))


def forget_draft(client: Path) -> None:
    """Throw away what was typed: it was signed, or is not wanted."""
    remove(client / DRAFT)
