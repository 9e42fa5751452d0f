"""`coach keys`: the keys of the clinic and of a client's computers, with the numbers by which people compare them."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.exchange.exchanging import (
    content_at,
    has_terminal,
    is_confirmed,
    passphrase_asker,
    print_numbers_of_home,
    say,
    typed,
)
from coach.commands.support.arguments import Commands, add_command, client_path
from coach.commands.support.loading import therapist_content
from coach.commands.support.output import FAULTS, FINE, NOT_NOW, USAGE, print_error

if TYPE_CHECKING:
    from collections.abc import Callable

    from coach.exchange.clinic_book import ClinicBook, Computer, Lost
    from coach.model.content import Content
    from coach.model.messages.exchange import KeysMessages

_DAY = "%Y-%m-%d"


def add_commands(commands: Commands) -> None:
    """Add keys."""
    command = add_command(
        commands,
        "keys",
        _keys,
        "Without a client: the numbers of the clinic's keys, and where they are. With a client: the client's "
        "computers; at home, the numbers of this computer and of the clinic. A lost computer and new keys of the "
        "clinic are steps that are signed with initials and a reason. After new keys, each client compares the new "
        "numbers before taking the next file.",
        (
            "coach keys demo_profiles/curlew",
            "cp -r demo_profiles/curlew home",
            "coach keys demo_profiles/curlew --enrol home",
            "coach keys",
            'coach keys --renew --initials KB --reason "a laptop was stolen" --yes',
        ),
        client=False,
    )
    command.add_argument("client", type=client_path, nargs="?", metavar="CLIENT", help="a client's folder or name")
    step = command.add_mutually_exclusive_group()
    step.add_argument(
        "--enrol", type=Path, metavar="FOLDER", help="write the code for one more computer into a folder to take home"
    )
    step.add_argument("--lost", metavar="DIGITS", help="a computer is no longer the client's: its first digits")
    step.add_argument("--renew", action="store_true", help="new keys for the clinic")
    step.add_argument("--passphrase", action="store_true", help="set, change or remove the passphrase of these keys")
    command.add_argument("--initials", metavar="AB", help="2 to 4 capital letters, for --lost and --renew")
    command.add_argument("--reason", metavar="TEXT", help="the reason in a few words, for --lost and --renew")
    command.add_argument("--yes", action="store_true", help="sign without asking")


def _keys(arguments: argparse.Namespace) -> int:
    from coach.exchange.home_side import is_home
    from coach.store.client_folder import require_profile

    client = arguments.client
    if client is not None:
        require_profile(client)
    content = therapist_content() if client is None else content_at(client)
    messages = content.messages.therapist.keys
    if client is None and (arguments.enrol or arguments.lost):
        return print_error("coach keys: name the client's folder for --enrol and --lost", USAGE)
    if client is not None and arguments.renew:
        return print_error("coach keys: --renew is for the clinic's keys: leave the client out", USAGE)
    at_home = client is not None and is_home(client)
    if at_home and (arguments.enrol or arguments.lost):
        return print_error("coach keys: --enrol and --lost are for the clinic, and this folder is at home", USAGE)
    if arguments.passphrase:
        return _passphrase(client if at_home else None, content)
    if arguments.renew or arguments.lost:
        return _signed_step(arguments, messages)
    if arguments.enrol:
        return _enrol(client, arguments.enrol, messages)
    return _show(client, at_home, messages)


def _show(client: Path | None, at_home: bool, messages: "KeysMessages") -> int:
    from coach.exchange.clinic_book import read_book
    from coach.exchange.own_keys import clinic_key_path, read_key_file
    from coach.model.message_format import fill
    from coach.store.client_store import ClientStore

    if client is not None and at_home:
        print_numbers_of_home(ClientStore.read(client))
        return FINE
    if client is not None:
        book, name = read_book(client), client.resolve().name
        if book is None:
            return say(fill(messages.nothing_handed_out, {"client": name}))
        for line in _computers(book, name, messages):
            say(line)
        return FINE
    keys = read_key_file(clinic_key_path())
    if keys is None:
        return say(messages.none)
    say(fill(messages.clinic, {"digits": keys.public.fingerprint}))
    say(fill(messages.file, {"file": clinic_key_path()}))
    return say(messages.unlocked if keys.locked is None else messages.locked)


def _computers(book: "ClinicBook", name: str, messages: "KeysMessages") -> list[str]:
    """A line for each computer of a client, and how many codes were not used yet."""
    from coach.model.message_format import fill

    lines = list[str]()
    for one in book.computers:
        values = {"client": name, "digits": one.fingerprint}
        if one.lost is not None:
            signed = {"at": one.lost.at.strftime(_DAY), "initials": one.lost.initials, "reason": one.lost.reason}
            lines.append(fill(messages.lost, {**values, **signed}))
        else:
            known = {"since": one.since.strftime(_DAY), "number": one.newest}
            lines.append(fill(messages.computer, {**values, **known}))
    unused = sum(1 for one in book.codes if one.used_by is None)
    return [*lines, fill(messages.codes, {"client": name, "count": unused})]


def _enrol(client: Path, folder: Path, messages: "KeysMessages") -> int:
    from coach.exchange.enrolment import ENROLMENT, write_enrolment
    from coach.model.message_format import fill
    from coach.store.clock import now
    from coach.toml.new_file import refuse_existing

    refuse_existing(folder / ENROLMENT)
    made = write_enrolment(client, folder, now().at)
    values = {"file": folder / ENROLMENT, "digits": made.clinic.fingerprint}
    return say(fill(messages.enrolled, values))


def _signed_step(arguments: argparse.Namespace, messages: "KeysMessages") -> int:
    """Show what a step means, then sign it: a lost computer, or new keys."""
    from coach.model.message_format import fill
    from coach.store.client_store import ClientStore

    if arguments.renew:
        return _signed(arguments, messages.renew, lambda signed: _renew(signed, messages))
    client: Path = arguments.client
    computer = _computer(client, arguments.lost)
    what = fill(messages.lose, {"digits": computer.fingerprint, "client": client.resolve().name})

    def lose(signed: "Lost") -> str:
        from coach.exchange.clinic_side import sign_lost

        with ClientStore.locked(client):
            sign_lost(client, computer, signed)
        values = {"initials": signed.initials, "digits": computer.fingerprint, "folder": client}
        return fill(messages.signed_lost, values)

    return _signed(arguments, what, lose)


def _computer(client: Path, digits: str) -> "Computer":
    """The computer that was named by its first digits. Raises Refusal."""
    from coach.exchange.clinic_book import read_book
    from coach.exchange.clinic_side import computer_named
    from coach.toml.diagnostic import Refusal, whole_file

    book = read_book(client)
    if book is None:
        what = f"{client.resolve().name} has no computer at home that is known here"
        raise Refusal([whole_file(client, what, "a client who took a folder home")])
    return computer_named(book, digits)


def _renew(signed: "Lost", messages: "KeysMessages") -> str:
    from coach.exchange.clinic_side import renew_clinic_keys
    from coach.exchange.own_keys import clinic_key_path
    from coach.model.message_format import fill

    made = renew_clinic_keys(passphrase_asker(therapist_content()), signed)
    values = {"initials": signed.initials, "digits": made.public.fingerprint, "file": clinic_key_path()}
    return fill(messages.renewed, values)


def _signed(arguments: argparse.Namespace, what: str, sign: "Callable[[Lost], str]") -> int:
    """Say what is to be signed, ask for what is missing, and sign it; returns the exit code."""
    content = therapist_content()
    messages, yes = content.messages.therapist.steering, content.messages.client.scale.yes_key
    say(what)
    signed = _signature(arguments.initials or typed(messages.initials), arguments.reason or typed(messages.reason))
    if not arguments.yes:
        if not has_terminal():
            return print_error(messages.needs_yes, NOT_NOW)
        if not is_confirmed(messages.ask, yes):
            return print_error(messages.not_signed, NOT_NOW)
    return say(sign(signed))


def _signature(initials: str, reason: str) -> "Lost":
    """Initials and reason as they are kept. Raises Refusal."""
    from coach.exchange.clinic_book import Lost
    from coach.store.clock import now
    from coach.toml.diagnostic import FileFault, Refusal
    from coach.toml.reader import parse_model
    from coach.toml.writer import dump

    try:
        return parse_model(dump({"at": now().at, "initials": initials, "reason": reason}), Path(), Lost)
    except FileFault as fault:
        raise Refusal(fault.faults) from None


def _passphrase(client: Path | None, content: "Content") -> int:
    """Ask for a new passphrase, twice, and lock the keys with it."""
    from getpass import getpass

    from coach.exchange.home_side import require_enrolment
    from coach.exchange.own_keys import clinic_key_path, home_key_path, read_key_file, with_passphrase
    from coach.model.message_format import fill

    messages = content.messages.therapist.keys
    path = clinic_key_path() if client is None else home_key_path(require_enrolment(client).client)
    if read_key_file(path) is None:
        return print_error(messages.none, FAULTS)
    if not has_terminal():
        return print_error("coach keys: a passphrase is typed at a terminal, and there is none", USAGE)
    new = getpass(f"{fill(messages.passphrase, {'file': path.name})}: ")
    if new and getpass(f"{messages.again}: ") != new:
        return print_error(messages.differ, NOT_NOW)
    with_passphrase(path, new, passphrase_asker(content))
    return say(fill(messages.passphrase_set if new else messages.passphrase_removed, {"file": path.name}))
