"""What one side writes for the other: everything that it has not said to have, signed and sealed."""

from collections.abc import Callable, Iterator, Mapping
from datetime import datetime
from pathlib import Path
from typing import TypeVar

from msgspec import Struct

from coach.exchange.clinic_book import ClinicBook, save_book
from coach.exchange.enrolment import require_own_clinic
from coach.exchange.home_book import HomeBook, save_home_book
from coach.exchange.other_side import OtherSide
from coach.exchange.own_keys import KeyFile, OwnKeys
from coach.exchange.parcel import Parcel, packed
from coach.exchange.public_keys import ClientId, KeyChange, PublicKeys, digest_of
from coach.exchange.sealed_file import seal
from coach.exchange.what_goes import Side, digests, files_of, heads_of, missing_there
from coach.frozen import Unfit
from coach.store.client_store import ClientStore
from coach.toml.diagnostic import FileFault, error_reason, whole_file
from coach.toml.reader import decode_text

Other = TypeVar("Other", bound=OtherSide)
_MOST_TEXT = 8 * 1024 * 1024  # bytes in one parcel; what is more goes into the next


class Outgoing(Struct, frozen=True):
    """A sealed file to be written: for whom, its number, and which files are in it."""

    to: PublicKeys
    number: int
    names: tuple[str, ...]
    data: bytes


def from_home(store: ClientStore, book: HomeBook, keys: OwnKeys, at: datetime) -> tuple[Outgoing, ...]:
    """What this computer sends to the clinic. Only for the holder of the lock. Raises FileFault."""
    writer = _Writer(store, keys, at, "clinic", book.client, code=book.code)
    clinic, outgoing = writer.parcels(book.clinic)
    _keep(store.path, lambda: save_home_book(book.model_copy(update={"clinic": clinic})))
    return outgoing


def from_clinic(
    store: ClientStore,
    book: ClinicBook,
    file: KeyFile,
    keys: OwnKeys,
    at: datetime,
    only_news: bool = False,
) -> tuple[Outgoing, ...]:
    """What the clinic sends to each computer of a client. Only for the holder of the lock. Raises FileFault.

    `only_news`: nothing for a computer that has everything and that was told what came from it.
    """
    require_own_clinic(store.path, book, file)
    writer, found = _Writer(store, keys, at, "home", book.client, changes=file.changes), list[Outgoing]()
    for computer in book.good:
        if only_news and not writer.has_news_for(computer):
            continue
        after, outgoing = writer.parcels(computer)
        found += outgoing
        book = book.with_computer(after)
    _keep(store.path, lambda: save_book(store.path, book))
    return tuple(found)


class _Writer:
    """Writes parcels about one client as the folder is now."""

    def __init__(
        self,
        store: ClientStore,
        keys: OwnKeys,
        at: datetime,
        to: Side,
        client: ClientId,
        code: str | None = None,
        changes: tuple[KeyChange, ...] = (),
    ) -> None:
        _require_one_version(store)
        self._keys, self._to = keys, to
        self._folder, self._files = store.path, files_of(store.path)
        self._common = {
            "client": client,
            "sender": keys.public,
            "at": at,
            "heads": heads_of(store.folder.written),
            "has": tuple(digests(self._files).values()),
            "code": code,
            "changes": changes,
        }

    def has_news_for(self, other: OtherSide) -> bool:
        """Whether the other side lacks anything, or has not been told what came from it."""
        return bool(missing_there(self._files, self._to, other.has)) or other.newest > other.answered

    def parcels(self, other: Other) -> tuple[Other, tuple[Outgoing, ...]]:
        """The parcels for the other side, usually one, and what is known of it after them."""
        found = list[Outgoing]()
        for files in _parted(missing_there(self._files, self._to, other.has)):
            texts = {name: decode_text(data, self._folder / name) for name, data in files.items()}
            parcel = self._parcel(
                {"receiver": other.verify, "number": other.sent + 1, "before": other.sent_digest}
                | {"knows": other.newest, "files": texts}
            )
            message = packed(parcel)
            to = PublicKeys(verify=other.verify, seal=other.seal)
            found.append(Outgoing(to, parcel.number, tuple(files), seal(message, self._keys, to)))
            other = other.with_sent(parcel.number, digest_of(message))
        return other, tuple(found)

    def _parcel(self, values: Mapping[str, object]) -> Parcel:
        """A parcel of these values. Raises FileFault where the other side could not read it; then none is written."""
        try:
            return Parcel.model_validate({**self._common, **values})
        except Unfit as unfit:
            what = f"nothing was written, because the other side could not read it: {unfit}"
            fix = "coach check PROFILE says what is wrong with the files of this folder"
            raise FileFault([whole_file(self._folder, what, "files as this program wrote them", fix)]) from None


def _parted(files: Mapping[str, bytes]) -> Iterator[Mapping[str, bytes]]:
    """The files in parts that are not too large; one part without files where there is none."""
    part, size = dict[str, bytes](), 0
    for name, data in files.items():
        if part and size + len(data) > _MOST_TEXT:
            yield part
            part, size = {}, 0
        part[name] = data
        size += len(data)
    yield part


def _require_one_version(store: ClientStore) -> None:
    """Raise FileFault where a file of the client has two versions: the other side would have two as well."""
    if store.folder.conflicting_copies:
        raise FileFault(one.fault for one in store.folder.conflicting_copies)


def _keep(client: Path, save: Callable[[], None]) -> None:
    """Keep the number of what is sent, before it is written: a number is never used twice. Raises FileFault."""
    try:
        save()
    except OSError as error:
        what = f"the number of the file cannot be kept, and it was not written: {error_reason(error)}"
        raise FileFault([whole_file(client, what, "a folder of your own", "make room, or ask its owner")]) from None
