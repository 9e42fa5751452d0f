"""Sealed files in the take-home folder: taken in before a session, and written after it.

At home nobody types a command: a file from the clinic is put next to the start file, and one for the clinic is
written into a folder there.
"""

from argparse import Namespace
from contextlib import suppress
from pathlib import Path

from coach.commands.exchange.exchanging import has_terminal, is_confirmed
from coach.commands.support.output import FAULTS, FINE, print_error

_TAKEN = ".taken"


def take_in(folder: Path, client: Path) -> None:
    """Show what has come from the clinic and take it after a yes. Whatever becomes of it, the session goes on."""
    from coach.commands.exchange.receive import receive_files
    from coach.exchange.sealed_file import SUFFIX
    from coach.store.lock import InUse
    from coach.toml.diagnostic import FileFault, Refusal

    files = sorted(folder.glob(f"*{SUFFIX}"))
    if not files or not has_terminal():
        return
    try:
        code = receive_files(Namespace(files=files, folder=client, yes=False, answer=None))
    except (FileFault, Refusal, InUse) as fault:
        print_error(str(fault), FAULTS)
        return
    if code == FINE:
        for file in files:
            with suppress(OSError):  # on a stick that is not to be written on it is shown again, and changes nothing
                file.rename(file.with_name(f"{file.name}{_TAKEN}"))


def offer_to_write(folder: Path, client: Path) -> None:
    """Ask whether to write what the clinic does not have yet, and write it into a folder of the take-home folder."""
    from coach.commands.exchange.exchanging import print_numbers_of_home
    from coach.commands.exchange.send import send_home
    from coach.store.client_store import ClientStore
    from coach.toml.atomic_write import make_folder

    if not has_terminal() or not folder.is_dir():
        return
    store = ClientStore.read(client)
    messages = store.content.messages.client
    if not is_confirmed(messages.take_home.ask_write, messages.scale.yes_key):
        return
    to = folder / messages.take_home.to_clinic
    try:
        make_folder(to)
    except OSError as error:
        print_error(f"{to}: {error.strerror}", FAULTS)
        return
    if send_home(client, to) == FINE:
        print_numbers_of_home(store)
