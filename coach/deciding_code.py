"""A digest of the code that decides what records come to: what was stored by other code is derived again."""

import os
from io import FileIO
from pathlib import Path

from coach.sha256 import sha256

_PACKAGE = Path(__file__).parent
# A test checks that it imports nothing else of this program.
DECIDING_CODE = ("control_characters", "deciding_code", "frozen", "model", "progression", "sha256", "value_digest")


class _Digest:
    """The digest, read once; a start takes it from what is kept of the content, which is kept with these files."""

    known: bytes | None = None

    def __call__(self) -> bytes:
        """The digest of the source of every module that decides."""
        if self.known is None:
            self.known = _read()
        return self.known


def _read() -> bytes:
    digest = sha256()
    for name in DECIDING_CODE:
        for module in _modules(f"{_PACKAGE}/{name}"):
            with FileIO(module) as file:  # paths and buffered reading would double the time
                code = file.read()
            digest.update(len(code).to_bytes(8, "big") + code)
    return digest.digest()


def _modules(name: str) -> list[str]:
    """The files of a package, or of a module, by their path without its ending."""
    folders = ((folder.replace(os.sep, "/"), names) for folder, _, names in os.walk(name))
    inside = [f"{folder}/{one}" for folder, names in folders for one in names if one.endswith(".py")]
    return sorted(inside) or [f"{name}.py"]


code_digest = _Digest()
