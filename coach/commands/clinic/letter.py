"""`coach letter`: a page for the referrer, or for the client, from what was measured."""

import argparse
from pathlib import Path
from typing import get_args

from coach.commands.clinic.courses import course_of, courses_of
from coach.commands.support.arguments import Commands, add_command, add_content
from coach.commands.support.loading import client_store
from coach.commands.support.output import FAULTS, FINE, USAGE, print_error, write_file


def add_commands(commands: Commands) -> None:
    """Add letter."""
    letter = add_command(
        commands,
        "letter",
        _letter,
        "One page: range, strength, load, pain and own activities, first and latest, each with the error of "
        "measurement, and what was trained. It is in the client's language. What it says stands in letter.toml "
        "of the content; a clinic may say it otherwise in clinic/LANGUAGE/letter.toml, with its name, address "
        "and phone in clinic/clinic.toml.",
        (
            "coach letter demo_profiles/plover --to plover_letter.pdf",
            "coach letter demo_profiles/plover --for client --to plover_results.pdf",
            "coach letter demo_profiles/plover --text",
        ),
    )
    letter.add_argument(
        "--for", dest="reader", choices=("referrer", "client"), default="referrer", help="who reads it"
    )
    letter.add_argument("--text", action="store_true", help="as plain text, to be edited; printed without --to")
    letter.add_argument("--paper", choices=("a4", "letter"), default="a4", help="the paper size (default: a4)")
    letter.add_argument("--to", type=Path, metavar="FILE", help="the new file to write: a PDF, with --text a text")
    add_content(letter)


def _letter(arguments: argparse.Namespace) -> int:
    from coach.reports.pdf.letter_page import LetterError, letter_pdf
    from coach.reports.text.results.letter import Reader, letter_as_text, letter_text
    from coach.store.clock import now
    from coach.store.programme.opening import admission_of_programme
    from coach.toml.new_file import refuse_existing

    if arguments.to is None and not arguments.text:
        return print_error("Where to? Name the new file with --to FILE.pdf, or print it with --text.", USAGE)
    if arguments.to is not None:
        refuse_existing(arguments.to)
    store, at = client_store(arguments.profile), now().at
    courses, today = courses_of(store), at.date()
    refused = admission_of_programme(store, at).sentence
    reader: Reader = next(one for one in get_args(Reader) if one == arguments.reader)
    course, known = course_of(store, courses), store.folder.own_profile.condition
    text = letter_text(course, courses, store.prescription, store.content, reader, today, known, refused)
    if arguments.text and arguments.to is None:
        print(letter_as_text(text), end="")
        return FINE
    try:
        data = letter_as_text(text).encode() if arguments.text else letter_pdf(text, arguments.paper, today)
    except LetterError as error:
        return print_error(f"{error}.", FAULTS)
    return write_file(arguments.to, data, store.content.messages.letter.written)
