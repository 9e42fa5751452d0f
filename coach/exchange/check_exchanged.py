"""Whether what is kept of the exchange between home and clinic can be read, and whether what came is still here."""

from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

from msgspec.structs import replace

from coach.exchange.clinic_book import book_path, read_book
from coach.exchange.enrolment import read_enrolment
from coach.exchange.home_book import read_home_book
from coach.exchange.own_keys import clinic_key_path, former_key_paths, home_key_path, read_key_file
from coach.exchange.sealed_file import SUFFIX, read_sealed
from coach.exchange.what_goes import digests
from coach.model.profile import Profile
from coach.store.arrivals.arrivals import ARRIVED, Arrivals
from coach.store.client_paths import EXCHANGE, PROFILE, unreadable_folders
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file
from coach.toml.reader import is_there, read_bytes, read_model

_BOOK = (
    "put it back from a backup; without one move it out of this folder and give each computer at home a new code: "
    "coach keys CLIENT --enrol FOLDER"
)
_CLINIC_KEYS = (
    "put it back from a copy, such as that on another computer of the clinic; without one move it away, and begin "
    "again with new codes: coach keys CLIENT --enrol FOLDER"
)
_AT_HOME = "put it back from a copy; without one ask the clinic for a new folder to take home"
_NOTES = "move it out of this folder: it only tells what came, and a new one is begun"
_KEPT = "put it back from a backup, or move it out of this folder: it was kept when a newer profile came"
_SEALED = "ask for it once more (coach send), and move this one out of this folder"


def check_exchanged(client: Path) -> tuple[Diagnostic, ...]:
    """A fault for each file of the exchange that cannot be read, of a client and of this computer, with what to do.

    One that is not there is no fault: most computers are either the clinic's or at home.
    """
    read = (fault for one in _checks(client) for fault in _faults(*one))
    return (*unreadable_folders(client, (EXCHANGE,)), *read, *_older_profile(client))


def _older_profile(client: Path) -> Iterator[Diagnostic]:
    """At home, a profile as it was before the clinic sent a newer one, which the clinic has no more."""
    try:
        enrolment = read_enrolment(client)
        book = read_home_book(enrolment.client) if enrolment is not None else None
        now, kept = read_bytes(client / PROFILE), list(map(read_bytes, _profiles_before(client)))
    except FileFault:  # which is told
        return
    if book is not None and now in kept and digests({PROFILE: now})[PROFILE] not in book.clinic.has:
        what = "it is as it was before the clinic sent a newer one: another program may have put it back"
        fix = "put the newer one back from a backup; or send the clinic a file (coach send), and its answer brings it"
        yield whole_file(client / PROFILE, what, f"the {PROFILE} that came last", fix)


def _profiles_before(client: Path) -> list[Path]:
    """The profiles that were replaced by those that came."""
    return sorted((client / EXCHANGE).glob("profile_before_*.toml"))


def _checks(client: Path) -> Iterator[tuple[Callable[[], object], str]]:
    """How each file is read, and what to do where it cannot be."""
    if is_there(book_path(client)):
        yield partial(read_book, client), _BOOK
        for path in (clinic_key_path(), *former_key_paths()):
            yield partial(read_key_file, path), _CLINIC_KEYS
    if is_there(client / ARRIVED):
        yield partial(read_model, client / ARRIVED, Arrivals), _NOTES
    for path in _profiles_before(client):
        yield partial(read_model, path, Profile), _KEPT
    for path in sorted((client / EXCHANGE).glob(f"*{SUFFIX}")):
        yield partial(read_sealed, path), _SEALED
    yield partial(read_enrolment, client), _AT_HOME
    try:
        enrolment = read_enrolment(client)
    except FileFault:
        return
    if enrolment is not None:
        yield partial(read_home_book, enrolment.client), _AT_HOME
        yield partial(read_key_file, home_key_path(enrolment.client)), _AT_HOME


def _faults(read: Callable[[], object], fix: str) -> tuple[Diagnostic, ...]:
    """What is wrong with a file that nobody writes by hand: its first fault, with what to do.

    Its lines are not shown: nobody puts them right, and one may hold a private key.
    """
    try:
        read()
    except FileFault as fault:
        first = replace(fault.faults[0], line=0, column=0, text="", nearest=None)
        return (first if first.newer else replace(first, fix=fix),)
    return ()
