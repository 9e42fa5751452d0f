"""What the clinic knows of a client's computers at home: exchange/clinic.toml in the client's folder.

It lies in the client's folder because several computers of the clinic share that folder. It holds no private key.
"""

from pathlib import Path
from typing import Annotated, Literal

from coach.exchange.other_side import OtherSide
from coach.exchange.public_keys import ClientId, Digest, KeyText
from coach.frozen import AwareDatetime, Bounds, Field
from coach.model.base import Frozen, Initials, Line
from coach.store.client_paths import EXCHANGE
from coach.toml.atomic_write import make_folder, replace_file
from coach.toml.reader import is_there, read_model
from coach.toml.writer import dump

_FILE = "clinic.toml"
_COMMENT = "The client's computers at home, and what they have. Written by the program."


class Code(Frozen):
    """A code that one computer at home may be enrolled with. Only its digest is kept."""

    digest: Digest
    at: AwareDatetime
    used_by: KeyText | None = Field(default=None, description="the computer that has used it, by its key")


class Lost(Frozen):
    """That a computer is no longer the client's: signed by the therapist."""

    at: AwareDatetime
    initials: Initials
    reason: Line


class Computer(OtherSide):
    """A computer at home."""

    since: AwareDatetime
    lost: Lost | None = None


class ClinicBook(Frozen):
    """The client, the codes that were handed out, and the computers that were enrolled with them."""

    format: Literal[1] = 1
    client: ClientId
    clinic: KeyText = Field(description="the clinic's key when this was begun; its signatures are checked with it")
    codes: tuple[Code, ...] = ()
    computers: Annotated[tuple[Computer, ...], Bounds(max_length=50)] = ()

    @property
    def good(self) -> tuple[Computer, ...]:
        """The computers that are still the client's."""
        return tuple(one for one in self.computers if one.lost is None)

    def computer(self, verify: KeyText) -> Computer | None:
        """The computer of this key, None where there is none."""
        return next((one for one in self.computers if one.verify == verify), None)

    def with_computer(self, new: Computer) -> "ClinicBook":
        """The same with one more computer, or with another state of one."""
        others = tuple(one for one in self.computers if one.verify != new.verify)
        return self.model_copy(update={"computers": (*others, new)})


def book_path(client: Path) -> Path:
    """Where the clinic's book of a client is."""
    return client / EXCHANGE / _FILE


def read_book(client: Path) -> ClinicBook | None:
    """The clinic's book of a client, None where nothing was ever handed out. Raises FileFault."""
    path = book_path(client)
    return read_model(path, ClinicBook) if is_there(path) else None


def save_book(client: Path, book: ClinicBook) -> None:
    """Replace the clinic's book, completely or not at all. Only for the holder of the lock. Raises OSError."""
    make_folder(book_path(client).parent)
    replace_file(book_path(client), book_text(book))


def book_text(book: ClinicBook) -> str:
    """The book as a file."""
    return dump({"format": 1} | book.model_dump(exclude_none=True, exclude_defaults=True), _COMMENT)
