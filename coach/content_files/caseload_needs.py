"""caseload.toml of the content: what a client can need the therapist for."""

from pathlib import Path

from coach.model.caseload import Need, Needs
from coach.toml.reader import read_model

NEEDS = "caseload.toml"


def load_needs(folder: Path) -> tuple[Need, ...]:
    """What a client can need, most urgent first. Raises FileFault."""
    return read_model(folder / NEEDS, Needs).need
