"""Sealed files as they come: opened with the keys of this computer, planned for a client's folder, and taken.

What is planned is shown before anything is written. When it is taken, it is planned again under the lock, for the
folder may have changed meanwhile.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import nullcontext
from datetime import datetime
from pathlib import Path

from msgspec import Struct, field
from msgspec.structs import replace

from coach.exchange.bring_together import as_it_would_be, new_files, require_whole
from coach.exchange.clinic_book import ClinicBook, Computer
from coach.exchange.home_book import HomeBook
from coach.exchange.other_side import OtherSide
from coach.exchange.own_keys import AskPassphrase, OwnKeys, read_key_file, unlocked
from coach.exchange.parcel import Parcel, unpacked
from coach.exchange.public_keys import Digest, KeyChange, PublicKeys, digest_of
from coach.exchange.sealed_file import SUFFIX, Opened, open_sealed, read_sealed
from coach.exchange.what_goes import Side, files_of, heads_of
from coach.model.content import Content
from coach.model.programme.instruction_file import InstructionFile
from coach.store.arrivals.arrivals import Arrival
from coach.store.client_paths import INSTRUCTIONS
from coach.store.client_store import ClientStore
from coach.store.programme.this_computer import written_now
from coach.system import each_file
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file
from coach.toml.reader import parse_model


class OpenedParcel(Struct, frozen=True):
    """A parcel in a sealed file, opened."""

    opened: Opened
    parcel: Parcel

    @property
    def path(self) -> Path:
        """The sealed file."""
        return self.opened.path

    @property
    def digest(self) -> Digest:
        """A digest of what it says."""
        return digest_of(self.opened.message)


class Came(Struct, frozen=True):
    """A parcel that can be taken: who wrote it, what in it is new here, and what is odd about it."""

    path: Path
    number: int
    at: datetime
    sender: PublicKeys
    heads: Mapping[str, int]
    new: tuple[str, ...]
    new_computer: bool = False
    changes: tuple[KeyChange, ...] = ()
    notes: tuple[str, ...] = ()


class TakingPlan(Struct, frozen=True):
    """What is to be taken into a client's folder. `known` were taken before, `refused` says why others are not."""

    client: Path
    book: ClinicBook | HomeBook
    came: tuple[Came, ...] = ()
    files: Mapping[str, bytes] = field(default_factory=dict)
    known: tuple[Path, ...] = ()
    refused: tuple[Diagnostic, ...] = ()

    def arrival(self, store: ClientStore, at: datetime) -> Arrival:
        """What is noted of it, for the client or the therapist to be told."""
        own = written_now(store.folder.written)
        signed = (parse_model(data.decode(), Path(name), InstructionFile)
                  for name, data in self.files.items() if name.startswith(f"{INSTRUCTIONS}/"))  # fmt: skip
        kinds = tuple(dict.fromkeys(one.what for one in signed))
        return Arrival(at=at, writer=own.writer, number=own.number - 1, kinds=kinds, **counts(self.files))


class KeyRing:
    """The private keys of this computer by the key id that sealed files name. Each is unlocked once, when needed."""

    def __init__(self, paths: Iterable[Path], ask: AskPassphrase) -> None:
        """Raises FileFault where a file of keys cannot be read."""
        found = ((path, read_key_file(path)) for path in paths)
        self._paths = {file.public.key_id: path for path, file in found if file is not None}
        self._ask = ask
        self._unlocked: dict[str, OwnKeys] = {}

    def open(self, path: Path) -> OpenedParcel:
        """A sealed file, opened. Raises FileFault where it is not for this computer, or is not whole."""
        sealed = read_sealed(path)
        if sealed.key_id not in self._paths:
            mine = ", ".join(self._paths) or "none"
            what = f"it is sealed for another key than those here: {sealed.key_id}"
            fix = "give it to whom it is for, or ask the sender for one that is for you"
            raise FileFault([whole_file(path, what, f"a file for {mine}", fix)])
        if sealed.key_id not in self._unlocked:
            self._unlocked[sealed.key_id] = unlocked(self._paths[sealed.key_id], self._ask)
        opened = open_sealed(sealed, self._unlocked[sealed.key_id])
        parcel = unpacked(path, opened.message)
        if parcel.sender.verify != opened.signer:
            what = "it names another sender than the one who signed it"
            raise FileFault([whole_file(path, what, "the keys that signed it", "take nothing from it")])
        return OpenedParcel(opened, parcel)


def sealed_files(paths: Iterable[Path]) -> tuple[Path, ...]:
    """The files that are named, and all sealed files of a folder that is named."""
    each = (sorted(one.glob(f"*{SUFFIX}")) if one.is_dir() else [one] for one in each_file(paths))
    return tuple(dict.fromkeys(file for files in each for file in files))


Judge = Callable[[TakingPlan, OpenedParcel], tuple[TakingPlan, OtherSide, Came]]
"""Says who sent a parcel, and raises FileFault where it must not be taken."""


def planned(plan: TakingPlan, found: Sequence[OpenedParcel], to: Side, judge: Judge) -> TakingPlan:
    """A plan with these parcels of a client added, in order of their numbers."""
    here = files_of(plan.client)
    for one in sorted(found, key=lambda one: (one.parcel.number, one.digest)):
        try:
            judged, other, came = judge(plan, one)
            if other.has_taken(one.digest):
                plan = replace(plan, known=(*plan.known, one.path))
                continue
            newest = isinstance(plan.book, HomeBook) and one.parcel.number > plan.book.profile
            new = new_files(one.path, one.parcel.files, here, plan.client, to, newest)
        except FileFault as fault:
            plan = replace(plan, refused=(*plan.refused, *fault.faults))
            continue
        here |= new
        came = replace(came, new=tuple(new), notes=other.oddities(one.parcel, one.digest))
        plan = replace(judged, came=(*plan.came, came), files={**plan.files, **new})
        plan = replace(plan, book=_with(plan.book, other.with_parcel(one.parcel, one.digest), one.parcel, new))
    return plan


def _with(
    book: ClinicBook | HomeBook, other: OtherSide, parcel: Parcel, new: Mapping[str, bytes]
) -> ClinicBook | HomeBook:
    """A book after a parcel was taken."""
    if isinstance(book, ClinicBook):
        assert isinstance(other, Computer)
        return book.with_computer(other)
    return book.with_clinic(other, parcel, new)


def looked_at(plan: TakingPlan, content: Content, look: Callable[[ClientStore], None]) -> TakingPlan:
    """The plan, once the client was read as they would be: nothing of it is left where that cannot be done.

    `look` is given the client as they would be.
    """
    if not plan.came:
        return plan
    try:
        with as_it_would_be(plan.client, plan.files) if plan.files else nullcontext(plan.client) as copy:
            store = require_whole(plan.came[-1].path, plan.client, copy, content)
            heads = heads_of(store.folder.written)
            look(store)
    except FileFault as fault:
        return replace(plan, came=(), files={}, refused=(*plan.refused, *fault.faults))
    return replace(plan, came=tuple(_with_lacking(one, heads) for one in plan.came))


def counts(names: Iterable[str]) -> dict[str, int]:
    """How many files there are of each part, as an arrival counts them."""
    found: dict[str, int] = {}
    for name in names:
        part = name.partition("/")[0].removesuffix(".toml")
        if part in Arrival.model_fields:
            found[part] = found.get(part, 0) + 1
    return found


def _with_lacking(came: Came, heads: Mapping[str, int]) -> Came:
    """A parcel with what its sender knew and this side does not have."""
    lacks = {writer: number - heads.get(writer, 0) for writer, number in came.heads.items()}
    notes = tuple(
        f"the other side has {number} more written by the computer {writer} than there are here: a file is still to "
        "come, or this side was restored from a backup"
        for writer, number in lacks.items()
        if number > 0
    )
    return replace(came, notes=(*came.notes, *notes))
