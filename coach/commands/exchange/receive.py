"""`coach receive`: sealed files of the other side, shown before they are taken."""

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.exchange.exchanging import has_terminal, is_confirmed, require_folder, say, typed
from coach.commands.support.arguments import Commands, add_command, client_path
from coach.commands.support.output import FAULTS, FINE, NOT_NOW, print_error
from coach.commands.support.progress_bar import counted, progress_bar

if TYPE_CHECKING:
    from coach.commands.exchange.incoming import Incoming
    from coach.model.messages.exchange import ExchangeMessages


def add_commands(commands: Commands) -> None:
    """Add receive."""
    command = add_command(
        commands,
        "receive",
        receive_files,
        "Each file is opened with this computer's keys and its signature is checked. Who wrote it, what is new in it "
        "and what it changes is shown, clients with needs first; then it is taken as a whole or not at all. A file "
        "that is torn, altered, for somebody else or does not fit what is here changes nothing, and the reason is "
        "said. Files may come late, twice and in any order.",
        (
            "cp -r demo_profiles/curlew home",
            "coach keys demo_profiles/curlew --enrol home",
            "coach send home",
            "coach receive *.sealed demo_profiles --yes",
        ),
        client=False,
    )
    command.add_argument("files", type=Path, nargs="+", metavar="FILE", help="sealed files, or folders of them")
    command.add_argument(
        "folder",
        type=client_path,
        metavar="CLIENTS",
        help="the folder of clients; at home, the client's folder or name",
    )
    command.add_argument("--yes", action="store_true", help="take it without asking, after it is shown")
    command.add_argument(
        "--answer", type=Path, metavar="FOLDER", help="then write an answer for each client into this folder"
    )


def receive_files(arguments: argparse.Namespace) -> int:
    """Take sealed files in after they were shown: `files`, `folder`, `yes` and `answer` as they are typed."""
    from coach.commands.exchange.incoming import clinic_incoming, home_incoming, print_incoming
    from coach.exchange.home_side import is_home
    from coach.exchange.receiving import sealed_files
    from coach.store.client_folder import require_profile

    require_profile(arguments.folder)
    if arguments.answer is not None:
        require_folder(arguments.answer)
    files = sealed_files(arguments.files)
    at_home = is_home(arguments.folder)
    read = home_incoming if at_home else clinic_incoming
    incoming = read(files, arguments.folder)
    messages = incoming.content.messages.client.exchange
    print_incoming(incoming)
    taken: Sequence[Path] = ()
    if incoming.plans:
        refusal = _refused(incoming, arguments.yes)
        if refusal:
            return print_error(refusal, NOT_NOW)
        taken = _take(incoming)
        _answer(taken, arguments, messages, at_home)
    failed = len(incoming.refused) + len(incoming.plans) - len(taken)
    return FAULTS if failed else FINE


def _refused(incoming: "Incoming", without_asking: bool) -> str:
    """Why what was shown is not taken; empty where a person says that it is.

    New keys of the clinic are never taken without somebody who types the first of their numbers.
    """
    messages = incoming.content.messages.client.exchange
    digits = incoming.new_clinic_digits
    if not digits and without_asking:
        return ""
    if not has_terminal():
        return messages.needs_digits if digits else messages.needs_yes
    if digits:
        agrees = typed(messages.ask_digits) == digits
    else:
        agrees = is_confirmed(messages.ask, incoming.content.messages.client.scale.yes_key)
    return "" if agrees else messages.not_taken


def _take(incoming: "Incoming") -> tuple[Path, ...]:
    """Take everything in; returns the clients. What cannot be taken is said, and the others go on."""
    from coach.commands.exchange.exchanging import counted_parts
    from coach.model.message_format import fill
    from coach.store.lock import InUse
    from coach.toml.diagnostic import FileFault

    messages, done, lines = incoming.content.messages.client.exchange, list[Path](), list[str]()
    with progress_bar(incoming.content.messages.therapist.working.taking) as show:
        for plan in counted(incoming.plans, len(incoming.plans), show):
            try:
                took = incoming.take(plan)
            except (FileFault, InUse) as fault:
                print_error(str(fault), FAULTS)
                continue
            done.append(plan.client)
            what = counted_parts(took.files, messages) or messages.brings_nothing
            lines.append(f"{plan.client.resolve().name}: {fill(messages.taken, {'what': what})}")
    for line in lines:
        say(line)
    return tuple(done)


def _answer(
    clients: Sequence[Path], arguments: argparse.Namespace, messages: "ExchangeMessages", at_home: bool
) -> None:
    """Write an answer for each client, or say how to."""
    from coach.commands.exchange.send import send_clinic, send_home
    from coach.model.message_format import fill

    if not clients:
        return
    if arguments.answer is None:
        say(fill(messages.answer, {"folder": arguments.folder}))
    elif at_home:
        send_home(clients[0], arguments.answer)
    else:
        send_clinic(clients, arguments.answer)
