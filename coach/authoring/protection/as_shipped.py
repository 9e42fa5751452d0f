"""The content that came with the program, which says what protects a client and how much."""

from functools import cache
from pathlib import Path

from coach.content_files.content_folder import shipped_folder
from coach.content_files.language_data import FALLBACK
from coach.content_files.read_content import read_content
from coach.model.content import Content
from coach.toml.diagnostic import FileFault


def shipped_content() -> Content | None:
    """The shipped content in its fallback language; None where it cannot be read, which every command reports."""
    try:
        return _read(shipped_folder())
    except FileFault:
        return None


@cache
def _read(folder: Path) -> Content:
    return read_content(folder, FALLBACK)
