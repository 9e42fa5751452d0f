"""Whether progress.toml still is the fold of what lies in the folder, known without folding it all again.

A fold of ten years takes seconds. When a session ends, a digest is kept of all that the fold came from and of
what came of it: records, prescription, rules and their words, the program's own rules, and progress.toml. While
not a byte of these has changed, progress.toml may be taken as it stands; otherwise everything is folded anew.
The seal proves nothing against a person who means to deceive: the records themselves are plain text, too.
"""

import hashlib
from collections.abc import Iterable, Iterator
from pathlib import Path

import coach
from coach.model.content import Content
from coach.toml.atomic_write import replace_file

SEAL = ".progress.seal"
_PROGRAM = ("model", "progression")  # the rooms whose code decides what a fold comes to


def is_sealed(seal: Path, came_from: Iterable[bytes], content: Content) -> bool:
    """Whether the seal was set on just this."""
    try:
        # A pipe or a device in its place would never answer.
        return seal.is_file() and seal.read_text(encoding="ascii") == _digest(came_from, content)
    except (OSError, ValueError):
        return False


def set_seal(seal: Path, came_from: Iterable[bytes], content: Content) -> None:
    """Seal what the fold came from, and what came of it. OSError if it cannot be written."""
    replace_file(seal, _digest(came_from, content))


def _digest(came_from: Iterable[bytes], content: Content) -> str:
    digest = hashlib.sha256()
    for part in (*came_from, *_rules(content), *_program()):
        digest.update(len(part).to_bytes(8, "big") + part)
    return digest.hexdigest() + "\n"


def _rules(content: Content) -> Iterator[bytes]:
    """All of the content that a decision or its sentences are made of."""
    yield content.words.language.encode()
    yield content.words.rules.model_dump_json().encode()
    for one in (*content.limits, *content.rules, *content.signs):
        yield one.model_dump_json().encode()
    for table in (content.exercises, content.questions, content.checks, content.words.exercises):
        for name, entry in table.items():
            yield name.encode() + entry.model_dump_json().encode()


def _program() -> Iterator[bytes]:
    package = Path(coach.__file__).parent
    for room in _PROGRAM:
        for module in sorted((package / room).glob("*.py")):
            yield module.read_bytes()
