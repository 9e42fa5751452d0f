"""`coach take-home`: the folder that a client takes home."""

import argparse
from typing import TYPE_CHECKING

from coach.commands.handout import printed_handout
from coach.commands.support.arguments import Commands, add_command, add_target
from coach.commands.support.loading import locked_client_store, report_notices, therapist_content
from coach.commands.support.output import FINE, print_error, print_result

if TYPE_CHECKING:
    from coach.store.client_store import ClientStore


def add_commands(commands: Commands) -> None:
    """Add take-home."""
    take_home = add_command(
        commands,
        "take-home",
        _take_home,
        "It holds the client as home needs them, the handout, this program to be installed, a start file for "
        "Windows, Mac and Linux, and what to do in five lines, all in the client's language. No other client, no "
        "private key and no other file of the clinic, such as a letter, is in it. What was signed is in it whole, "
        "also the notes of visits and the reasons of instructions: it can be read at home. With its code one "
        "computer at home makes keys of its own, for coach send and coach receive. It is not encrypted: hand it "
        "over, do not mail it.",
        ("coach take-home demo_profiles/heron --to heron_at_home",),
    )
    take_home.add_argument("--paper", choices=("a4", "letter"), default="a4", help="the paper size (default: a4)")
    add_target(take_home, "FOLDER", "the new folder to make, such as on a memory stick")


def _take_home(arguments: argparse.Namespace) -> int:
    from coach.commands.home.take_home_texts import read_first, said_by_start_files
    from coach.exchange.enrolment import new_enrolment
    from coach.exchange.own_keys import clinic_key_path, clinic_keys
    from coach.exchange.taking_home.going_home import packed_client, require_packable
    from coach.model.message_format import fill
    from coach.store.clock import now
    from coach.store.home.own_wheel import own_wheel
    from coach.store.home.take_home_folder import TakeHome, write_take_home
    from coach.toml.new_file import refuse_existing

    refuse_existing(arguments.to)
    with locked_client_store(arguments.profile) as store:
        report_notices(store)
    require_packable(store.path)
    for one in store.exercises:
        _ = one.folded_progress  # refused where nothing tells what a damaged record led to
    wheel, has_keys = own_wheel(), clinic_key_path().exists()
    handout = _handout(store, arguments.paper, clinic_keys().public.fingerprint)
    enrolment = new_enrolment(store.path, now().at)
    messages = store.content.messages.client.take_home
    name = store.path.resolve().name
    folder = TakeHome(
        messages,
        {f"{name}.zip": packed_client(store.path, enrolment), wheel.name: wheel.data},
        handout,
        read_first(store, enrolment.clinic.fingerprint),
        said_by_start_files(messages),
    )
    write_take_home(arguments.to, folder)
    therapist = therapist_content().messages.therapist
    said, keys = therapist.take_home, therapist.keys
    print_result(fill(said.written, {"folder": arguments.to, "client": name, "file": f"{messages.read_first}.txt"}))
    if wheel.tree is not None:
        print_result(fill(said.from_tree, {"folder": wheel.tree}))
    if handout is None:
        print_error(said.no_handout, FINE)
    print_result(fill(said.key, {"digits": enrolment.clinic.fingerprint}))
    if not has_keys:
        print_result(fill(keys.file, {"file": clinic_key_path()}))
    return print_result(said.not_encrypted)


def _handout(store: "ClientStore", paper: str, digits: str) -> bytes | None:
    """The handout with the clinic's numbers, to be compared; None where no session may start."""
    from coach.model.message_format import fill

    note = fill(store.content.messages.client.take_home.key, {"digits": digits})
    pages = printed_handout(store.exercises, "letter" if paper == "letter" else "a4", note)
    return pages if isinstance(pages, bytes) else None
