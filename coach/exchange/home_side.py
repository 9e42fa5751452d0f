"""The home side: this computer's keys, made when they are first needed, and whether a parcel is the clinic's."""

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from msgspec.structs import replace

from coach.exchange.enrolment import ENROLMENT, Enrolment, read_enrolment, save_enrolment
from coach.exchange.home_book import HomeBook, read_home_book, save_home_book
from coach.exchange.other_side import OtherSide
from coach.exchange.own_keys import AskPassphrase, KeyFile, home_key_path, make_keys, read_key_file
from coach.exchange.parcel import Parcel
from coach.exchange.public_keys import KeyChange, PublicKeys
from coach.exchange.receiving import Came, KeyRing, OpenedParcel, TakingPlan, planned
from coach.exchange.sealed_file import Opened, is_signed
from coach.store.arrivals.arrivals import ARRIVED, put_in_place, read_arrivals
from coach.store.client_paths import EXCHANGE, PROFILE
from coach.store.client_store import ClientStore
from coach.toml.atomic_write import unused_path
from coach.toml.diagnostic import FileFault, error_reason, whole_file
from coach.toml.reader import is_there, read_bytes, read_model


def is_home(client: Path) -> bool:
    """Whether a client's folder is one that was taken home."""
    return is_there(client / ENROLMENT)


def require_enrolment(client: Path) -> Enrolment:
    """The enrolment in a client's folder. Raises FileFault."""
    found = read_enrolment(client)
    if found is None:
        what = f"there is no {ENROLMENT} here: this folder was not made to be taken home"
        raise FileFault([whole_file(client, what, "the folder that the clinic gave you", "ask the clinic for it")])
    return found


def enrolled(client: Path) -> HomeBook:
    """This computer's book for a client. Where there is a code that was not used yet, keys are made and it is used.

    Only for the holder of the lock. Raises FileFault where there is neither a code nor a book.
    """
    enrolment = require_enrolment(client)
    book, path = read_home_book(enrolment.client), home_key_path(enrolment.client)
    if enrolment.code is None:
        if book is None or not is_there(path):
            raise _used_elsewhere(client, enrolment)
        return book
    if book is None or book.code != enrolment.code or not is_there(path):
        make_keys(path)  # a code is for new keys: those from before may have been given up as lost
        former = () if book is None or book.clinic.verify == enrolment.verify else (book.clinic.verify,)
        clinic = OtherSide(verify=enrolment.verify, seal=enrolment.seal)
        not_good = (*(book.no_longer_good if book is not None else ()), *former)
        book = HomeBook(client=enrolment.client, clinic=clinic, code=enrolment.code, no_longer_good=not_good)
    keys = read_model(path, KeyFile)
    try:
        save_home_book(book)
        used = {"code": None, "used_on": keys.public.fingerprint}
        save_enrolment(client, enrolment.model_copy(update=used))
    except OSError as error:
        what = f"the keys of this computer cannot be kept: {error_reason(error)}"
        raise FileFault([whole_file(client, what, "a folder of your own", "make room, or ask its owner")]) from None
    return book


def _used_elsewhere(client: Path, enrolment: Enrolment) -> FileFault:
    """That this computer has no keys: because none were made yet, or because they are on another one."""
    if enrolment.code is not None:
        what = "this computer has no keys for this client yet"
        fix = f"write the first file for the clinic, which makes them: coach send {client}"
        return FileFault([whole_file(client / ENROLMENT, what, "keys of this computer", fix)])
    what = f"this computer has no keys for this client; the code was used on the computer {enrolment.used_on}"
    expected = "that computer, or a new code from the clinic for this one"
    fix = f"ask the clinic for a new {ENROLMENT}, and put it next to {PROFILE}"
    return FileFault([whole_file(client / ENROLMENT, what, expected, fix)])


def new_clinic_keys(opened: Opened, parcel: Parcel, book: HomeBook) -> tuple[KeyChange, ...]:
    """The changes that lead from the clinic's keys as they are known here to those that signed a parcel.

    Empty where these are the same. Raises FileFault where nothing leads to them.
    """
    if opened.signer == book.clinic.verify:
        return ()
    if opened.signer in book.no_longer_good:
        what = "it is signed with keys of the clinic that are no longer good"
        raise _not_the_clinic(opened, book, what, "ask the clinic to send it again")
    way, known = list[KeyChange](), book.clinic.verify
    for change in parcel.changes:
        if change.before.verify == known and is_signed(change):
            way.append(change)
            known = change.after.verify
    if known != opened.signer or parcel.sender != way[-1].after:
        what = f"it is not signed by your clinic, but by the keys {parcel.sender.fingerprint}"
        fix = "take nothing from it, and ask your clinic whether it has new keys"
        raise _not_the_clinic(opened, book, what, fix)
    return tuple(way)


def _not_the_clinic(opened: Opened, book: HomeBook, what: str, fix: str) -> FileFault:
    known = PublicKeys(verify=book.clinic.verify, seal=book.clinic.seal).fingerprint
    return FileFault([whole_file(opened.path, what, f"the clinic's keys as they are known here, {known}", fix)])


def home_key_ring(client: Path, ask: AskPassphrase) -> KeyRing:
    """The keys of this computer for a client. Raises FileFault."""
    return KeyRing([home_key_path(require_enrolment(client).client)], ask)


def plan_home(client: Path, found: Sequence[OpenedParcel]) -> TakingPlan:
    """What the parcels bring into a client's folder at home. Raises FileFault where that cannot be read."""
    enrolment = require_enrolment(client)
    book, keys = read_home_book(enrolment.client), read_key_file(home_key_path(enrolment.client))
    if book is None or keys is None:
        raise _used_elsewhere(client, enrolment)
    verify = keys.verify

    def judge(plan: TakingPlan, one: OpenedParcel) -> tuple[TakingPlan, OtherSide, Came]:
        book, parcel = plan.book, one.parcel
        assert isinstance(book, HomeBook)
        if parcel.client != enrolment.client or parcel.receiver != verify:
            what = "it is for another client, or for another computer"
            raise FileFault([whole_file(one.path, what, "a file for this client on this computer", "ask the clinic")])
        changes, clinic = new_clinic_keys(one.opened, parcel, book), book.clinic
        came = Came(one.path, parcel.number, parcel.at, parcel.sender, parcel.heads, (), changes=changes)
        if changes:
            clinic = clinic.model_copy(update=changes[-1].after.model_dump())
            former = (*book.no_longer_good, *(change.before.verify for change in changes))
            plan = replace(plan, book=book.model_copy(update={"no_longer_good": former}))
        return plan, clinic, came

    return planned(TakingPlan(client, book), found, "home", judge)


def take_home(store: ClientStore, plan: TakingPlan, at: datetime) -> None:
    """Put what was planned into the client's folder, all of it or nothing. Only for the holder of the lock.

    A profile that is replaced is kept beside. Raises FileFault.
    """
    assert isinstance(plan.book, HomeBook)
    own, profile = dict[str, bytes](), store.path / PROFILE
    if PROFILE in plan.files:
        kept = unused_path(store.path / EXCHANGE / f"profile_before_{plan.book.profile}.toml")
        own[f"{EXCHANGE}/{kept.name}"] = read_bytes(profile)
    if plan.files:
        own[ARRIVED] = read_arrivals(store.path).with_new(plan.arrival(store, at)).text.encode()
        put_in_place(store.path, {**plan.files, **own})
    try:
        save_home_book(plan.book)
    except OSError as error:  # everything is in its place, and may be received again
        what = f"what came was taken, but that cannot be noted: {error_reason(error)}"
        fix = "make room, and receive it again"
        raise FileFault([whole_file(store.path, what, "a folder of your own", fix)]) from None
