"""`coach send`: what the other side does not have yet, in a file that only they can read."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.exchange.exchanging import (
    content_at,
    counted_parts,
    passphrase_asker,
    print_numbers_of_home,
    require_folder,
    say,
)
from coach.commands.support.arguments import Commands, add_command, client_path
from coach.commands.support.loading import report_notices
from coach.commands.support.output import FAULTS, FINE, print_error

if TYPE_CHECKING:
    from collections.abc import Sequence

    from coach.exchange.own_keys import OwnKeys
    from coach.exchange.sending import Outgoing
    from coach.model.messages.exchange import ExchangeMessages

_NAME_LENGTH = 8


def add_commands(commands: Commands) -> None:
    """Add send."""
    command = add_command(
        commands,
        "send",
        _send,
        "At home it holds the sessions that the clinic does not have yet; in the clinic, programme, instructions, "
        "visits with their notes, and what was measured: all of it can be read at home. It is encrypted for the "
        "other side and signed. Nothing is sent: give the file to the other side yourself. At home, keys are made at "
        "the first time; compare the numbers that are shown with those of the clinic. In a folder of clients a file "
        "is written for every client who lacks something. What was not acknowledged is in the next file again.",
        (
            "cp -r demo_profiles/curlew home",
            "coach keys demo_profiles/curlew --enrol home",
            "coach send home",
        ),
        client=False,
    )
    command.add_argument(
        "folder", type=client_path, metavar="CLIENT", help="a client's folder or name, or a folder of clients"
    )
    command.add_argument(
        "--to", type=Path, default=Path(), metavar="FOLDER", help="where to write it (default: the current folder)"
    )


def _send(arguments: argparse.Namespace) -> int:
    from coach.exchange.home_side import is_home
    from coach.store.client_folder import require_profile
    from coach.store.client_paths import clients_in, is_client

    folder = arguments.folder
    require_profile(folder)
    require_folder(arguments.to)
    if is_home(folder):
        return send_home(folder, arguments.to)
    if is_client(folder):
        return send_clinic([folder], arguments.to)
    return send_clinic([folder / name for name in clients_in(folder)], arguments.to, only_news=True)


def send_home(client: Path, to: Path) -> int:
    """Write what this computer sends to the clinic; returns the exit code."""
    from coach.exchange.home_side import enrolled, require_enrolment
    from coach.exchange.own_keys import home_key_path, unlocked
    from coach.exchange.sending import from_home
    from coach.model.message_format import fill
    from coach.store.client_store import ClientStore
    from coach.store.clock import now

    is_first = require_enrolment(client).code is not None
    with ClientStore.locked(client) as store:
        report_notices(store)
        book = enrolled(client)
        messages = store.content.messages.client.exchange
        if is_first:
            say(fill(messages.keys_made, {"client": client.resolve().name}))
            print_numbers_of_home(store)
        keys = unlocked(home_key_path(book.client), passphrase_asker(store.content))
        outgoing = from_home(store, book, keys, now().at)
    _write(outgoing, to, messages)
    return say(messages.how_to_give)


def send_clinic(clients: "Sequence[Path]", to: Path, only_news: bool = False) -> int:
    """Write what the clinic sends to the computers of these clients; returns the exit code.

    `only_news`: in a folder of clients, only for those who lack something or are to be answered.
    """
    from coach.exchange.clinic_book import read_book
    from coach.exchange.own_keys import clinic_key_path, clinic_keys, unlocked
    from coach.model.message_format import fill
    from coach.store.lock import InUse
    from coach.toml.diagnostic import FileFault

    code, keys, content = FINE, list["OwnKeys"](), content_at(clients[0])
    messages, written = content.messages.client.exchange, False
    for client in clients:
        name = client.resolve().name
        try:
            book = read_book(client)
            if book is None or not book.good:
                if not only_news:
                    code = print_error(fill(messages.no_computer, {"client": name}), FAULTS)
                continue
            if not keys:
                clinic_keys()
                keys.append(unlocked(clinic_key_path(), passphrase_asker(content)))
            outgoing = _from_clinic(client, keys[0], only_news)
            if not outgoing:
                say(fill(messages.nothing_to_send, {"client": name}))
            _write(outgoing, to, messages, name)
            written = written or bool(outgoing)
        except (FileFault, InUse) as fault:
            if len(clients) == 1:
                raise
            code = print_error(str(fault), FAULTS)
    if written:
        say(messages.how_to_give)
    return code


def _from_clinic(client: Path, keys: "OwnKeys", only_news: bool) -> "tuple[Outgoing, ...]":
    from coach.exchange.clinic_book import read_book
    from coach.exchange.own_keys import clinic_keys
    from coach.exchange.sending import from_clinic
    from coach.store.client_store import ClientStore
    from coach.store.clock import now

    with ClientStore.locked(client) as store:
        book = read_book(client)
        if book is None:
            return ()
        return from_clinic(store, book, clinic_keys(), keys, now().at, only_news)


def _write(outgoing: "Sequence[Outgoing]", to: Path, messages: "ExchangeMessages", client: str = "") -> None:
    """Write each file under a name that says nothing, and say what is in it; with `client`, that it is for them."""
    import secrets

    from coach.exchange.sealed_file import SUFFIX
    from coach.model.message_format import fill
    from coach.toml.new_file import write_new

    for one in outgoing:
        path = to / f"steady-arc-{secrets.token_hex(_NAME_LENGTH // 2)}{SUFFIX}"
        write_new(path, one.data)
        what = counted_parts(one.names, messages) or messages.nothing_new
        at_home = fill(messages.for_computer, {"client": client, "digits": one.to.fingerprint})
        who = at_home if client else messages.for_clinic
        say(fill(messages.written, {"who": who, "file": path, "what": what}))
