"""`coach check` and `coach schema`: every fault in hand-written files, and their JSON Schemas for an editor."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.arguments import Commands, add_command, add_content, add_target, client_path
from coach.commands.support.loading import therapist_content
from coach.commands.support.output import FAULTS, FINE, print_result
from coach.commands.support.progress_bar import counted, progress_bar

if TYPE_CHECKING:
    from collections.abc import Iterable

    from coach.toml.diagnostic import Diagnostic


def add_commands(commands: Commands) -> None:
    """Add check and schema."""
    check = add_command(
        commands,
        "check",
        _check,
        "For each fault: file, line and column, the line itself, what was expected, the "
        "nearest valid word, and how to fix it. For content also how easy the client's "
        "text is to read (Flesch 1948; Amstad 1978 for German), with the hardest lines, and "
        "notes on questions and cues that a client may misunderstand; for a programme of several "
        "exercises, notes on an order that saves fixing the band again. Notes are no faults.",
        ("coach check", "coach check content demo_profiles", "coach check demo_profiles/tern --json"),
        client=False,
    )
    check.add_argument(
        "folders",
        type=client_path,
        nargs="*",
        metavar="FOLDER",
        help="content, a client's folder or name, or a folder of clients (default: the content of the program)",
    )
    check.add_argument(
        "--json",
        action="store_true",
        help="print the faults as a JSON list for editors and builds, with the keys file, line, column, what, "
        "expected, nearest, mend, also and text",
    )
    add_content(check)
    schema = add_command(
        commands,
        "schema",
        _schema,
        "An editor with a TOML language server uses them for completion and help. The "
        "first line of each file names its schema.",
        ("coach schema --to content/schema",),
        client=False,
    )
    add_target(schema, "FOLDER", "the folder to write the schemas to")


def _check(arguments: argparse.Namespace) -> int:
    from coach.authoring.check import clinic_overrides, is_content, notes_on_clinic
    from coach.authoring.check_translations import translation_notes
    from coach.authoring.check_wording import wording_notes
    from coach.authoring.protection.less_protection import gone_notes
    from coach.authoring.reading_ease import reading_ease_report
    from coach.content_files.content_folder import content_folder
    from coach.system import each_file
    from coach.toml.diagnostic import printable, render

    folders, on_clients = list(each_file(arguments.folders)) or [content_folder()], list["Diagnostic"]()
    faults = [fault for folder in folders for fault in _faults_in(folder, None if arguments.json else on_clients)]
    if arguments.json:
        from coach.reports.tables.faults_json import faults_json

        print(faults_json(faults))
        return FAULTS if faults else FINE
    for fault in faults:
        print(render(fault), end="\n\n")
    for own in (own for folder in folders for own in clinic_overrides(folder)):
        instead = f"instead of: {own.shipped}" if own.shipped else "in addition to the shipped content"
        print(printable(f"{own.file}: {own.key}: {own.override} ({instead})"))
    of_content = (wording_notes, translation_notes, gone_notes)
    on_folders = (
        note
        for folder in folders
        for notes in (of_content if is_content(folder) else (notes_on_clinic,))
        for note in notes(folder)
    )
    for note in (*on_folders, *on_clients):
        place = f"{note.path}:{note.line}:{note.column}" if note.line else str(note.path)
        print(printable(f"note: {place}: {note.what} ({note.fix})"))
    for line in (line for folder in folders if is_content(folder) for line in reading_ease_report(folder)):
        print(line)
    checked = ", ".join(str(folder) for folder in folders)
    found = {0: "fine", 1: "1 fault"}.get(len(faults), f"{len(faults)} faults")
    print_result(f"{checked}: {found}")
    return FAULTS if faults else FINE


def _faults_in(folder: Path, notes: "list[Diagnostic] | None") -> "tuple[Diagnostic, ...]":
    """The faults of a folder; where the content needed for the check is broken, the faults of the content.

    Notes on clients, which are no faults, are added to `notes` unless it is None.
    """
    from coach.authoring.check import check_folder, is_content
    from coach.commands.support.client_notes import client_notes
    from coach.store.client_paths import clients_in, is_client
    from coach.store.clock import now
    from coach.toml.diagnostic import FileFault

    try:
        if is_content(folder):
            return check_folder(folder, now().at)
        notes_of = client_notes if notes is not None else (lambda *_: ())
        with progress_bar(therapist_content().messages.therapist.working.checking) as show:
            found = check_folder(folder, now().at, show, notes_of, notes)
            try:
                names = ("",) if is_client(folder) else clients_in(folder)
            except FileFault:  # a folder without clients, which was told
                return found
            return found + _exchanged(counted((folder / name for name in names), len(names), show))
    except FileFault as error:
        return error.faults


def _exchanged(clients: "Iterable[Path]") -> "tuple[Diagnostic, ...]":
    """The faults in what is kept of the exchange of files, where there is any; each once."""
    from coach.store.client_paths import ENROLMENT, EXCHANGE
    from coach.toml.reader import is_there

    faults = dict["Diagnostic", None]()
    for client in clients:
        if is_there(client / EXCHANGE) or is_there(client / ENROLMENT):
            from coach.exchange.check_exchanged import check_exchanged

            faults.update(dict.fromkeys(check_exchanged(client)))
    return tuple(faults)


def _schema(arguments: argparse.Namespace) -> int:
    from coach.authoring.schema import write_schemas
    from coach.commands.support.coach_content import coach_messages
    from coach.model.message_format import fill

    count = write_schemas(arguments.to)
    return print_result(fill(coach_messages().schemas_written, {"count": count, "folder": arguments.to}))
