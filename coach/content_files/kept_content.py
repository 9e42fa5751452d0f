"""The content that comes with the program, kept as it was read: derived, on this computer only, free to be deleted.

Reading it is a tenth of the time to the first screen. What is kept counts only while no file of the content, and no
code that reads it, has another size or time, and only if its checksum fits; else the content is read as always. It is
a pickle of which nothing can be made but the frozen classes of the content, and these run their checks.
"""

import os
import pickle
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from functools import cache, partial
from io import BytesIO
from pathlib import Path
from typing import Any
from zlib import crc32

from msgspec import Struct
from msgspec.structs import replace

import coach
from coach import __version__
from coach.content_files.language_data import load_language
from coach.deciding_code import DECIDING_CODE, code_digest
from coach.files_fingerprint import Found, entries_of, files_in, fingerprint_of_files, stat_of
from coach.model.content import Content, nothing
from coach.model.message_format import Language, LocalizedLine
from coach.sha256 import sha256
from coach.system import is_own, is_writable_by_others
from coach.toml.atomic_write import replace_bytes
from coach.toml.diagnostic import FileFault
from coach.toml.reader import is_there, read_bytes
from coach.toml.user_cache import cache_folder, private_folder

_FOLDER = "content"
_SUM_BYTES = 4
_READING_CODE = ("model", "content_files", "toml")
_CODE = (*_READING_CODE, *(name for name in DECIDING_CODE if name not in _READING_CODE))
_PACKAGE = Path(coach.__file__).parent
# What the frozen classes are made with again, beside themselves.
_REBUILD = ("msgspec._utils", "rebuild")
_READS_LATER = type(cache(nothing))


def kept_or_read(folder: Path, language: str, read: Callable[[], Content]) -> Content:
    """The content of a folder in a language, from what is kept of it or else by `read`.

    What was kept cannot read the messages of therapist, coach and letters. What was read can be kept: its `keep` does
    nothing where a file has just changed, or where nothing can be written.
    """
    # Before anything is read: of a change that comes while it is read, what is kept then tells nothing.
    now_ns, files = time.time_ns(), fingerprint_of_files(_files(folder))
    mark = f"{__version__} {sys.version_info[:2]} {files.value}\n".encode()
    kept = _kept(folder, language, mark)
    if kept is not None:
        return kept
    found = read()
    return replace(found, keep=partial(_keep, folder, language, mark, found)) if files.is_settled(now_ns) else found


def with_functions(content: Content, **functions: Callable[[], object]) -> Content:
    """The same content, which reads the messages that it was kept without; nothing that counts is another."""
    found = replace(content, messages=replace(content.messages, **functions))
    vars(found).update(vars(content))
    return found


def _files(folder: Path) -> "list[Found]":
    """The files of the content, the code that reads it, and the code that decides, whose digest is kept with it."""
    code = [one for name in _CODE for one in files_in(f"{_PACKAGE}/{name}", ".py")]
    top = [(one.name, stat_of(one)) for one in entries_of(str(_PACKAGE)) or () if one.name.endswith(".py")]
    return [*files_in(str(folder), ".toml"), *code, *top]


def _path(folder: Path, language: str) -> Path:
    of_folder = sha256(os.fsencode(folder)).hexdigest()[:16]
    return cache_folder(os.environ) / _FOLDER / f"{language}-{of_folder}.pickle"


def _kept(folder: Path, language: str, mark: bytes) -> Content | None:
    """What is kept under this mark; None where there is nothing, or something that is not as it was written."""
    try:
        path = _path(folder, language)
        folder_of_it = path.parent.stat()
        if not is_own(folder_of_it) or is_writable_by_others(folder_of_it) or not is_there(path):
            return None
        held = read_bytes(path)
    except (FileFault, OSError, RuntimeError):  # RuntimeError: the user has no folder of their own
        return None
    data = held[len(mark) + _SUM_BYTES :]
    if held != mark + _sum_of(data) + data:
        return None
    try:
        found, digest, of_code = _Unpickler(data).load()
    except Exception:  # reading a pickle can raise any exception (Python manual, pickle)
        return None
    if not isinstance(found, Content):
        return None
    vars(found)["digest"], code_digest.known = digest, of_code
    return found


def _keep(folder: Path, language: str, mark: bytes, found: Content) -> None:
    written = BytesIO()
    with suppress(Exception):  # the next start is only slower without it, and a session is under way
        _Pickler(written, pickle.HIGHEST_PROTOCOL).dump((found, found.digest, code_digest()))
        data = written.getvalue()
        path = _path(folder, language)
        private_folder(path.parent)
        replace_bytes(path, mark + _sum_of(data) + data)


def _sum_of(data: bytes) -> bytes:
    """What tells damage, at a tenth of what a hash takes; nobody is kept from writing another by either."""
    return crc32(data).to_bytes(_SUM_BYTES, "big")


class _Pickler(pickle.Pickler):
    """Writes a language by its name, and leaves out what reads or keeps something: both are code."""

    def persistent_id(self, value: Any) -> str | None:
        """The name of a language, and an empty one of what is left out; None for everything else."""
        if isinstance(value, Language):
            return value.name
        return "" if value is nothing or isinstance(value, _READS_LATER) else None


class _Unpickler(pickle.Unpickler):
    """Makes the content of its frozen classes, with the texts of a language, and nothing else."""

    def __init__(self, data: bytes) -> None:
        super().__init__(BytesIO(data))
        self._known: dict[str, Language] = {}

    def persistent_load(self, name: Any) -> Language | Callable[[], None]:
        """A language by its name, and what does nothing in place of what was left out."""
        if not name:
            return nothing
        if name not in self._known:
            self._known[name] = load_language(name)
        return self._known[name]

    def find_class(self, module: str, name: str) -> Any:
        """A class that the content is made of. Raises UnpicklingError for everything else."""
        if (module, name) == _REBUILD or module.startswith("coach.model."):
            found = super().find_class(module, name)
            if (module, name) == _REBUILD or found is LocalizedLine or _is_struct(found):
                return found
        raise pickle.UnpicklingError(f"{module}.{name} is no part of the content")


def _is_struct(found: object) -> bool:
    return isinstance(found, type) and issubclass(found, Struct)
