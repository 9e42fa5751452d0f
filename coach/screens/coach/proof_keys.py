"""The keys of the coach's view, with the name and the action of each."""

from typing import NamedTuple

from coach.model.messages.coach import ProofKey


class ProofBinding(NamedTuple):
    """One key. `word` is its entry in the messages of the view; `action` is a method of the view."""

    key: str
    word: ProofKey
    action: str


PROOF_BINDINGS: tuple[ProofBinding, ...] = (
    ProofBinding("right", "following", "following"),
    ProofBinding("left", "before", "before"),
    ProofBinding("g", "part", "part"),
    ProofBinding("c", "changed", "changed"),
    ProofBinding("p", "position", "position"),
    ProofBinding("e", "exercise", "exercise"),
    ProofBinding("l", "language", "language"),
    ProofBinding("s", "size", "size"),
    ProofBinding("t", "theme", "theme"),
    ProofBinding("q", "leave", "leave"),
)
