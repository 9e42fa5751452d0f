"""What is inside a sealed file: who wrote it for whom, what they had by then, and the files that go with it."""

import json
import zlib
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Annotated, Any, Literal, Self

import msgspec

from coach.exchange.public_keys import ClientId, Digest, KeyChange, KeyText, PublicKeys
from coach.frozen import AwareDatetime, Bounds, Field, Unfit
from coach.model.base import Frozen
from coach.model.programme.written import Number, WriterName
from coach.toml.diagnostic import FileFault, whole_file

FORMAT = 1
MOST_BYTES = 16 * 1024 * 1024  # of a parcel when it is unpacked
_MOST_FILES = 20_000
_Files = Annotated[dict[str, str], Bounds(max_length=_MOST_FILES)]


class Parcel(Frozen):
    """One parcel between home and clinic.

    `before` is the digest of the parcel of the number before. `knows` is the number of the newest parcel of the
    receiver that the sender has taken, `heads` the newest thing of each writer and `has` a digest of each file that
    the sender has: from these follows what the receiver need not send again.
    """

    format: Literal[1] = 1
    client: ClientId
    sender: PublicKeys
    receiver: KeyText = Field(description="the receiver, by the key with which its signatures are checked")
    number: Number
    before: Digest | None = None
    knows: Annotated[int, Bounds(ge=0)]
    at: AwareDatetime = Field(description="by the sender's clock; nothing follows from it")
    heads: dict[WriterName, Number] = {}
    has: Annotated[tuple[Digest, ...], Bounds(max_length=_MOST_FILES)] = ()
    code: str | None = Field(default=None, description="of a computer at home until the clinic has answered")
    changes: tuple[KeyChange, ...] = Field(default=(), description="the changes of the clinic's keys, in order")
    files: _Files = {}

    @classmethod
    def model_validate(cls, data: object, text_of: Callable[[str], str] | None = None, dates: bool = True) -> Self:
        """As of every class, but that `files` are whole files, with the line breaks and the tabs in them."""
        given = dict(data) if isinstance(data, Mapping) else {}
        try:
            files = msgspec.convert(given.pop("files", {}), _Files)
        except msgspec.ValidationError as error:
            raise Unfit(str(error)) from error
        return super().model_validate(given, text_of, dates).model_copy(update={"files": files})


def packed(parcel: Parcel) -> bytes:
    """The message that is signed: the parcel as JSON, compressed."""
    return zlib.compress(parcel.model_dump_json(exclude_defaults=True).encode(), 9)


def unpacked(path: Path, message: bytes) -> Parcel:
    """The parcel in a message; `path` is the sealed file. Raises FileFault, and never holds more than MOST_BYTES."""
    unpacking = zlib.decompressobj()
    try:
        data = unpacking.decompress(message, MOST_BYTES)
    except zlib.error:
        raise _unreadable(path) from None
    if not unpacking.eof:
        raise _fault(path, f"what is in it is cut off, or larger than {MOST_BYTES // 2**20} MiB")
    number = _format_of(data)
    if number is not None and number != FORMAT:
        is_newer = number > FORMAT
        fix = "use the newer one here too" if is_newer else "write it with a newer one"
        raise _fault(path, f"what is in it was written by {'a newer' if is_newer else 'an older'} Steady Arc", fix)
    try:
        return Parcel.model_validate(json.loads(data), dates=False)
    except (ValueError, RecursionError):
        raise _unreadable(path) from None


def _format_of(data: bytes) -> int | None:
    try:
        given: Any = json.loads(data)
    except (ValueError, RecursionError):
        return None
    found = given.get("format", FORMAT) if isinstance(given, dict) else None
    return found if isinstance(found, int) else None


def _unreadable(path: Path) -> FileFault:
    return _fault(path, "it was signed, but what is in it cannot be read as a parcel")


def _fault(path: Path, what: str, fix: str = "ask for the file to be sent again") -> FileFault:
    return FileFault([whole_file(path, what, "a file that coach send wrote", fix)])
