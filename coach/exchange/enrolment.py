"""The file that a client takes home: the clinic's public keys, and a code with which one computer is enrolled."""

import secrets
from datetime import datetime
from pathlib import Path
from typing import Annotated, Literal

from coach.exchange.clinic_book import ClinicBook, Code, book_path, read_book, save_book
from coach.exchange.own_keys import KeyFile, clinic_key_path, clinic_keys
from coach.exchange.public_keys import ClientId, KeyText, PublicKeys, digest_of
from coach.frozen import Field, form
from coach.model.base import Frozen, Line
from coach.store.client_paths import ENROLMENT as ENROLMENT
from coach.store.client_store import ClientStore
from coach.toml.atomic_write import replace_file
from coach.toml.diagnostic import FileFault, error_reason, whole_file
from coach.toml.new_file import write_new
from coach.toml.reader import is_there, read_model
from coach.toml.writer import dump

_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"  # none that is easily taken for another
_LENGTH = 24
_COMMENT = "With this, one computer at home can exchange sealed files with the clinic. Written by the program."


class Enrolment(Frozen):
    """enrolment.toml in the client's folder at home."""

    format: Literal[1] = 1
    client: ClientId
    verify: KeyText = Field(description="the clinic's key for checking signatures")
    seal: KeyText = Field(description="the clinic's key for sealing")
    code: Annotated[str, form(r"^[a-z0-9]{24}$")] | None = Field(
        default=None, description="for one computer; it is taken out when that computer has made its keys"
    )
    used_on: Line = Field(default="", description="the fingerprint of the computer that has used the code")

    @property
    def clinic(self) -> PublicKeys:
        """The clinic's public keys."""
        return PublicKeys(verify=self.verify, seal=self.seal)

    @property
    def text(self) -> str:
        """The file."""
        return dump({"format": 1} | self.model_dump(exclude_none=True, exclude_defaults=True), _COMMENT)


def new_enrolment(client: Path, at: datetime) -> Enrolment:
    """A new enrolment for one computer of a client; the clinic's folder of the client keeps the digest of its code.

    `client` is the client's folder in the clinic, which is to be copied after this; `at` is now. The clinic's keys
    are made if there are none yet; no passphrase is needed. `Enrolment.text` belongs into a file of the name
    ENROLMENT beside profile.toml in the folder that the client takes home, and `Enrolment.clinic.fingerprint` onto
    the handout. Raises InUse where the folder is in use, and FileFault where it cannot be read or written, or belongs
    to another clinic.
    """
    code = "".join(secrets.choice(_LETTERS) for _ in range(_LENGTH))
    with ClientStore.locked(client):  # which moves a client of an older format to the newest one
        keys = clinic_keys()
        book = read_book(client)
        if book is None:
            book = ClinicBook(client=secrets.token_hex(16), clinic=keys.verify)
        require_own_clinic(client, book, keys)
        new = Code(digest=digest_of(code.encode()), at=at)
        _save(client, book.model_copy(update={"codes": (*book.codes, new)}))
    return Enrolment(client=book.client, verify=keys.verify, seal=keys.seal, code=code)


def write_enrolment(client: Path, folder: Path, at: datetime) -> Enrolment:
    """As `new_enrolment`, and the file is written into `folder`, where there must be none. Raises FileFault."""
    if folder.resolve() == client.resolve():
        what = "this is the clinic's own folder of the client, which stays in the clinic"
        raise FileFault([whole_file(folder, what, "a copy of it, for the client to take home", "name that copy")])
    made = new_enrolment(client, at)
    write_new(folder / ENROLMENT, made.text.encode())
    return made


def require_own_clinic(client: Path, book: ClinicBook, keys: KeyFile) -> None:
    """Raise FileFault where a client's folder belongs to other keys than those that this computer has or had."""
    if book.clinic in (keys.verify, *(change.before.verify for change in keys.changes)):
        return
    what = "this client exchanges files with other keys of the clinic than those of this computer"
    expected = f"the clinic's own keys in {clinic_key_path()}"
    fix = (
        "copy that file from the computer of the clinic that has them; if nobody has them any more, move "
        f"{book_path(client)} elsewhere, and give each computer at home a new code"
    )
    raise FileFault([whole_file(client, what, expected, fix)])


def read_enrolment(client: Path) -> Enrolment | None:
    """The enrolment in a client's folder at home, None where there is none. Raises FileFault."""
    path = client / ENROLMENT
    return read_model(path, Enrolment) if is_there(path) else None


def save_enrolment(client: Path, enrolment: Enrolment) -> None:
    """Replace enrolment.toml, completely or not at all. Raises OSError."""
    replace_file(client / ENROLMENT, enrolment.text)


def _save(client: Path, book: ClinicBook) -> None:
    try:
        save_book(client, book)
    except OSError as error:
        what = f"the code for home cannot be kept: {error_reason(error)}"
        raise FileFault([whole_file(client, what, "a folder of your own", "make room, or ask its owner")]) from None
