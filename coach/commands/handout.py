"""`coach handout`: a page to print."""

import argparse
from typing import TYPE_CHECKING

from coach.commands.support.arguments import Commands, add_command, add_content, add_exercise, add_target
from coach.commands.support.exercises import chosen_exercises, records_of
from coach.commands.support.output import FAULTS, FINE, NOT_NOW, print_error, write_file
from coach.commands.support.todays_session import days_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from coach.reports.pdf.pdf_page import PaperSize
    from coach.store.client_store import ClientStore


def add_commands(commands: Commands) -> None:
    """Add handout."""
    handout = add_command(
        commands,
        "handout",
        _handout,
        "One page in the client's language, readable in black and white: setup to scale, "
        "dose, checks, cues, when to stop, and a log to tick. Of several exercises, a first page holds what they "
        "have in common, and the exercises follow, two on a page where they fit.",
        (
            "coach handout demo_profiles/tern --to tern.pdf",
            "coach handout demo_profiles/heron --paper letter --to heron.pdf",
            "coach handout demo_profiles/curlew --to curlew.pdf",
        ),
    )
    handout.add_argument("--paper", choices=("a4", "letter"), default="a4", help="the paper size (default: a4)")
    add_target(handout, "FILE.pdf")
    add_exercise(handout)
    add_content(handout)


def _handout(arguments: argparse.Namespace) -> int:
    from coach.toml.new_file import refuse_existing

    refuse_existing(arguments.to)
    stores = chosen_exercises(arguments)
    pages = printed_handout(stores, arguments.paper)
    if isinstance(pages, int):
        return pages
    return write_file(arguments.to, pages, stores[0].content.messages.client.handout.written)


def printed_handout(stores: "Sequence[ClientStore]", paper: "PaperSize", note: str = "") -> bytes | int:
    """The handout of these exercises, `note` at its foot; or the exit code, where why there is none was printed."""
    from coach.reports.pdf.handout import ExerciseToPrint, HandoutError, handout_pdf, programme_pdf
    from coach.store.clock import now
    from coach.store.programme.opening import as_at_home

    at, printed = now().at, list[ExerciseToPrint]()
    refused: dict[str, int] = {}
    for store in stores:
        admission = store.admission(at)
        if admission.plan is None or not admission.may_start:
            refused[admission.sentence] = FAULTS if admission.obstacle == "load" else NOT_NOW
            continue
        plan = as_at_home(store, admission.plan)
        number = store.folder.prescribed.names.index(store.folder.name) + 1
        printed.append(ExerciseToPrint(plan, records_of([store]), number, days_of(store)))
    for why in refused:
        print_error(why, FINE)
    if not printed:
        return next(iter(refused.values()))
    first, *others = printed
    try:
        if others:
            return programme_pdf(printed, paper, note)
        return handout_pdf(first.plan, first.records, paper, note)
    except HandoutError as error:
        return print_error(f"{error}.", FAULTS)
