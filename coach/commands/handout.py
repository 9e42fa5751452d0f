"""`coach handout`: a page to print."""

import argparse

from coach.commands.support.arguments import Commands, add_command, add_content, add_target
from coach.commands.support.loading import client_store
from coach.commands.support.output import FAULTS, NOT_NOW, print_error, write_file


def add_commands(commands: Commands) -> None:
    """Add handout."""
    handout = add_command(
        commands,
        "handout",
        _handout,
        "make a page to print and hang on the wall",
        "One page in the client's language, readable in black and white: setup to scale, "
        "dose, checks, cues, when to stop, and a log to tick.",
        (
            "coach handout demo_profiles/tern --to tern.pdf",
            "coach handout demo_profiles/heron --paper letter --to heron.pdf",
        ),
    )
    handout.add_argument("--paper", choices=("a4", "letter"), default="a4", help="the paper size (default: a4)")
    add_target(handout, "FILE.pdf")
    add_content(handout)


def _handout(arguments: argparse.Namespace) -> int:
    from coach.reports.pdf.handout import HandoutError, handout_pdf
    from coach.store.clock import now
    from coach.toml.new_file import refuse_existing

    refuse_existing(arguments.to)
    store = client_store(arguments.profile)
    admission = store.admission(now().at)
    if admission.plan is None or not admission.may_start:
        return print_error(admission.sentence, FAULTS if admission.obstacle == "load" else NOT_NOW)
    try:
        page = handout_pdf(admission.plan, store.records, arguments.paper)
    except HandoutError as error:
        return print_error(f"{error}.", FAULTS)
    return write_file(arguments.to, page, store.content.messages.client.handout.written)
