"""The clinic's side: whether a parcel is from one of the client's computers, and the steps that a therapist signs."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from functools import partial
from pathlib import Path

from msgspec.structs import replace

from coach.exchange.clinic_book import ClinicBook, Computer, Lost, book_path, book_text, read_book, save_book
from coach.exchange.enrolment import require_own_clinic
from coach.exchange.other_side import OtherSide
from coach.exchange.own_keys import (
    AskPassphrase,
    KeyFile,
    OwnKeys,
    clinic_key_path,
    clinic_keys,
    former_key_path,
    former_key_paths,
    plain_key_file,
    read_key_file,
    replace_key_file,
    unlocked,
)
from coach.exchange.public_keys import ClientId, KeyChange, digest_of
from coach.exchange.receiving import Came, KeyRing, OpenedParcel, TakingPlan, planned
from coach.exchange.sealed_file import sign_change
from coach.store.arrivals.arrivals import ARRIVED, put_in_place, read_arrivals
from coach.store.client_paths import EXCHANGE
from coach.store.client_store import ClientStore
from coach.toml.diagnostic import Diagnostic, FileFault, Refusal, collect_faults, error_reason, whole_file
from coach.toml.nearest_name import nearest_name


def clinic_key_ring(ask: AskPassphrase) -> KeyRing:
    """The clinic's keys, and those that it had before: files on their way may be sealed for them."""
    return KeyRing((clinic_key_path(), *former_key_paths()), ask)


def clients_by_id(clients: Iterable[Path], faults: list[Diagnostic]) -> dict[ClientId, tuple[Path, ...]]:
    """The clients that were given a code, by what parcels call them; what is wrong with a book goes to `faults`."""
    found: dict[ClientId, tuple[Path, ...]] = {}
    for client in clients:
        book = collect_faults(partial(read_book, client), faults)
        if book is not None:
            found[book.client] = (*found.get(book.client, ()), client)
    return found


def client_of(found: OpenedParcel, by_id: dict[ClientId, tuple[Path, ...]]) -> Path:
    """The client that a parcel is about. Raises FileFault where there is none, or several."""
    there = by_id.get(found.parcel.client, ())
    if len(there) == 1:
        return there[0]
    if not there:
        what = "it is about a client who is not in this folder"
        fix = "name the folder of clients, or the client's folder, in which they are"
        raise FileFault([whole_file(found.path, what, "a client who was given a folder to take home", fix)])
    what = f"several folders here are this client: {', '.join(one.name for one in there)}"
    fix = "move those that are copies out of the folder of clients"
    raise FileFault([whole_file(found.path, what, "one folder of each client", fix)])


def plan_clinic(client: Path, found: Sequence[OpenedParcel], at: datetime) -> TakingPlan:
    """What the parcels bring into a client's folder in the clinic. Raises FileFault where that cannot be read."""
    book, keys = read_book(client), read_key_file(clinic_key_path())
    if book is None or keys is None:
        what = "nothing of this client was given to take home"
        raise FileFault([whole_file(client, what, f"{book_path(client)}", "make the folder to take home first")])
    require_own_clinic(client, book, keys)
    good = {keys.verify, *(change.before.verify for change in keys.changes)}

    def judge(plan: TakingPlan, one: OpenedParcel) -> tuple[TakingPlan, OtherSide, Came]:
        if one.parcel.receiver not in good:
            what = "it was written for another clinic, and sealed again for this one"
            raise FileFault([whole_file(one.path, what, "a file for this clinic", "take nothing from it")])
        return _judged(plan, one, at)

    return planned(TakingPlan(client, book), found, "clinic", judge)


def _judged(plan: TakingPlan, one: OpenedParcel, at: datetime) -> tuple[TakingPlan, OtherSide, Came]:
    """Whether a parcel is from one of the client's computers, or from a new one with a code. Raises FileFault."""
    book, parcel = plan.book, one.parcel
    assert isinstance(book, ClinicBook)
    computer = book.computer(one.opened.signer)
    came = Came(one.path, parcel.number, parcel.at, parcel.sender, parcel.heads, ())
    if computer is not None:
        if computer.lost is not None:
            raise _refused_lost(one, computer, computer.lost)
        if computer.seal != parcel.sender.seal:
            what = "it names other keys than those that this computer was enrolled with"
            raise FileFault([whole_file(one.path, what, computer.fingerprint, "take nothing from it")])
        return plan, computer, came
    digest = digest_of((parcel.code or "").encode())
    code = next((each for each in book.codes if each.digest == digest), None)
    who = f"the computer {parcel.sender.fingerprint}"
    if code is None:
        what = f"it is signed by {who}, which is not known as one of this client's"
        fix = "ask the client whether that is theirs; if so, give them a new code (coach keys CLIENT --enrol FOLDER)"
        raise FileFault([whole_file(one.path, what, "a computer that was enrolled with a code", fix)])
    if code.used_by is not None:
        user = book.computer(code.used_by)
        what = f"it is from {who}, and its code was used before by {user.fingerprint if user else 'another one'}"
        fix = "ask the client which of the two is theirs: the other is lost (coach keys CLIENT --lost DIGITS)"
        raise FileFault([whole_file(one.path, what, "a code for each computer", fix)])
    used, others = (
        code.model_copy(update={"used_by": one.opened.signer}),
        [each for each in book.codes if each != code],
    )
    new = Computer(verify=parcel.sender.verify, seal=parcel.sender.seal, since=at)
    book = book.model_copy(update={"codes": (*others, used)}).with_computer(new)
    return replace(plan, book=book), new, replace(came, new_computer=True)


def _refused_lost(one: OpenedParcel, computer: Computer, lost: Lost) -> FileFault:
    what = (
        f"it is from the computer {computer.fingerprint}, which is no longer the client's since {lost.at:%Y-%m-%d} "
        f"({lost.initials}: {lost.reason})"
    )
    fix = "ask the client who wrote it; if they did, ask them for the client's folder itself"
    return FileFault([whole_file(one.path, what, "a computer of the client", fix)])


def take_clinic(store: ClientStore, plan: TakingPlan, at: datetime) -> None:
    """Put what was planned into the client's folder, all of it or nothing. Only for the holder of the lock.

    Raises FileFault.
    """
    assert isinstance(plan.book, ClinicBook)
    own = {f"{EXCHANGE}/{book_path(store.path).name}": book_text(plan.book).encode()}
    if plan.files:
        own[ARRIVED] = read_arrivals(store.path).with_new(plan.arrival(store, at)).text.encode()
    put_in_place(store.path, {**plan.files, **own})


def computer_named(book: ClinicBook, digits: str) -> Computer:
    """The computer whose fingerprint begins with these digits. Raises Refusal where there is not just one."""
    typed = "".join(digits.split())
    fits = [one for one in book.good if typed and one.fingerprint.replace(" ", "").startswith(typed)]
    if len(fits) == 1:
        return fits[0]
    each = {one.fingerprint: one for one in book.good}
    what = f"{digits}: no computer of this client begins with these digits" if not fits else f"{digits}: several do"
    expected = "the first digits of one of: " + ("; ".join(each) or "none")
    near = nearest_name(digits, each)
    raise Refusal([whole_file(Path(), what, expected, "type the first ten digits or more", near)])


def sign_lost(client: Path, computer: Computer, lost: Lost) -> None:
    """Note that a computer is no longer the client's. Only for the holder of the lock. Raises FileFault."""
    book = read_book(client)
    if book is None:
        return
    try:
        save_book(client, book.with_computer(computer.model_copy(update={"lost": lost})))
    except OSError as error:
        raise FileFault([whole_file(client, f"it cannot be written: {error_reason(error)}")]) from None


def renew_clinic_keys(ask: AskPassphrase, signed: Lost) -> KeyFile:
    """New keys for the clinic, signed with those before, which are kept to open what is on its way.

    Until everything is written, the keys before are the clinic's. Raises FileFault, and Refusal for a passphrase.
    """
    path = clinic_key_path()
    former_file, former, new = clinic_keys(), unlocked(path, ask), OwnKeys.new()
    unsigned = KeyChange(before=former.public, after=new.public, signature="0" * 128, **signed.model_dump())
    made = plain_key_file(new, (*former_file.changes, sign_change(unsigned, former)))
    replace_key_file(former_key_path(former.public), former_file)
    replace_key_file(path, made)
    return made
