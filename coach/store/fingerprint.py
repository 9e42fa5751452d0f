"""Fingerprints: whether anything that a stored result was derived from has changed.

Two results are stored because deriving them again takes seconds: progress.toml of a client with years of records, and
the summaries of a caseload. Each is stored with a fingerprint and used only while the fingerprint is the same.

What a fingerprint covers is found by walking through the objects that were read, field by field, so a new field of a
model is covered without anyone adding it here. A fingerprint is no signature: it detects changes, not forgery.
"""

from collections.abc import Iterator
from pathlib import Path

from coach.deciding_code import code_digest
from coach.files_fingerprint import FilesFingerprint, Found, entries_of, files_in, fingerprint_of_files, stat_of
from coach.sha256 import sha256
from coach.store.client_paths import INSTRUCTIONS, MEASURED, PROGRAMME, RECORDS, VISITS
from coach.toml.atomic_write import TEMPORARY_SUFFIX
from coach.value_digest import add_value

_PACKAGE = Path(__file__).parents[1]
_FOLDERS = (RECORDS, PROGRAMME, INSTRUCTIONS, VISITS, MEASURED)  # what changes in them is seen in their files


def fingerprint_of(*values: object) -> str:
    """The fingerprint of what was read, whole, and of the code that decides what follows from it.

    The values are as in `digest_of`. Of the functions that it leaves out, those in `Content` read the messages for
    therapist and coach when they are asked for, and no decision is made from these. Raises TypeError as it does.
    """
    digest = sha256(code_digest())
    add_value(values, digest.update)
    return digest.hexdigest()


def program_fingerprint() -> str:
    """A fingerprint of all of the program's own files, by their sizes and times."""
    return fingerprint_of_files(files_in(str(_PACKAGE), ".py")).value


def folder_fingerprint(folder: Path) -> str:
    """A fingerprint of the TOML files of a folder and those below it, by their sizes and times."""
    return fingerprint_of_files(files_in(str(folder), ".toml")).value


def client_fingerprint(path: str) -> FilesFingerprint:
    """A fingerprint of the files of a client's folder, without opening any of them."""
    return fingerprint_of_files(_client_files(path))


def _client_files(path: str) -> Iterator[Found]:
    """Every file that may say something of the client, also copies that a sync program has left."""
    for folder in ("", *_FOLDERS):
        entries = entries_of(f"{path}/{folder}")
        if entries is None:
            yield folder, None
            continue
        counted = (one for one in entries if one.name not in _FOLDERS and not _is_passing(one.name))
        yield from ((f"{folder}/{one.name}", stat_of(one)) for one in counted)


def _is_passing(name: str) -> bool:
    """Whether a file only shows that something is being done: a lock, or a file that is not complete yet."""
    return name.endswith((".lock", TEMPORARY_SUFFIX))
