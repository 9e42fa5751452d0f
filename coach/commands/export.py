"""`coach export`: plan and history for another system, or as a table."""

import argparse
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.arguments import Commands, add_command, add_content, add_exercise, add_target
from coach.commands.support.exercises import chosen_exercises, has_several, records_of
from coach.commands.support.exported import resources_of, rows_of
from coach.commands.support.loading import print_no_session
from coach.commands.support.output import USAGE, print_error, print_result, write_file

if TYPE_CHECKING:
    from coach.reports.fhir.parts import Json
    from coach.reports.tables.spreadsheet import SpreadsheetForm
    from coach.store.client_store import ClientStore


def add_commands(commands: Commands) -> None:
    """Add export."""
    export = add_command(
        commands,
        "export",
        _export,
        "Before the file is written, a summary says what it holds of the client. The file "
        "contains the pseudonym and health data: whoever passes it on is responsible for "
        "it.",
        (
            "coach export demo_profiles/plover --fhir --to plover.json",
            "coach export demo_profiles/plover --csv --to plover.csv",
            "coach export demo_profiles --all --csv --to everyone.csv",
        ),
    )
    form = export.add_mutually_exclusive_group(required=True)
    form.add_argument(
        "--fhir", action="store_true", help="an HL7 FHIR R4 bundle (R4B alike), for a clinic's own system"
    )
    form.add_argument("--csv", action="store_true", help="a table for a spreadsheet, one row for each set")
    export.add_argument(
        "--all",
        action="store_true",
        help="PROFILE is a folder of clients: one table of all, or a new folder with a bundle of each",
    )
    export.add_argument(
        "--locale",
        metavar="LOCALE",
        help="language and country of the spreadsheet, such as de_DE (default: that of clinic/clinic.toml)",
    )
    add_target(export)
    add_exercise(export)
    add_content(export)


def _export(arguments: argparse.Namespace) -> int:
    from coach.reports.tables.spreadsheet import form_of
    from coach.store.clock import now
    from coach.toml.new_file import refuse_existing

    refuse_existing(arguments.to)
    if arguments.all:
        from coach.commands.support.export_all import export_all

        return export_all(arguments.profile, "fhir" if arguments.fhir else "csv", arguments.to, arguments.locale)
    stores, at = chosen_exercises(arguments), now().at
    no_session = [store.admission(at).sentence for store in stores]
    for why in dict.fromkeys(no_session):
        print_no_session(why)
    if arguments.fhir:
        return _fhir(stores, no_session, arguments.to)
    try:
        form = form_of(arguments.locale or stores[0].content.clinic.locale)
    except ValueError as error:
        return print_error(f"{error}.", USAGE)
    summary, data = _csv(stores, form)
    print(summary, end="", flush=True)
    return write_file(arguments.to, data, stores[0].content.messages.therapist.export.written)


def _fhir(stores: "Sequence[ClientStore]", no_session: Sequence[str], to: Path) -> int:
    """Write the bundle, which says why no session may start now; what it holds is said before it gets its name."""
    from coach.model.message_format import fill
    from coach.reports.fhir.bundle import fhir_json
    from coach.reports.fhir.export_summary import fhir_summary
    from coach.toml.new_file import new_file

    first, records, observations = stores[0], records_of(stores), 0
    prescriptions, content = [store.prescription for store in stores], first.content

    def counted() -> "Iterator[Json]":
        nonlocal observations
        for one in resources_of(stores, no_session):
            observations += one["resourceType"] == "Observation"
            yield one

    profile = first.folder.own_profile
    with new_file(to) as file:
        for part in fhir_json(profile, counted()):
            file.write(part)
        print(fhir_summary(profile, prescriptions, records, observations, content), end="", flush=True)
    return print_result(fill(content.messages.therapist.export.written, {"file": to}))


def _csv(stores: "Sequence[ClientStore]", spreadsheet: "SpreadsheetForm") -> tuple[str, bytes]:
    """The summary of the table, and the table."""
    from coach.reports.fhir.export_summary import csv_summary
    from coach.reports.tables.csv_table import TableForm, csv_heading

    first, form = stores[0], TableForm(has_several(stores[0]), spreadsheet)
    table = csv_heading(form) + rows_of(stores, form)
    return csv_summary(first.profile, [one.prescription for one in stores], records_of(stores), first.content), table
