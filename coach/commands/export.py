"""`coach export`: plan and history for another system, or as a table."""

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.arguments import Commands, add_command, add_content, add_target
from coach.commands.support.export_all import export_all
from coach.commands.support.loading import client_store, print_no_session
from coach.commands.support.output import print_result, write_file

if TYPE_CHECKING:
    from coach.reports.fhir.parts import Json
    from coach.store.client_store import ClientStore


def add_commands(commands: Commands) -> None:
    """Add export."""
    export = add_command(
        commands,
        "export",
        _export,
        "export the plan and the history as FHIR or CSV",
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
    form.add_argument("--fhir", action="store_true", help="an HL7 FHIR R4 bundle, for a clinic's own system")
    form.add_argument("--csv", action="store_true", help="a table for a spreadsheet, one row for each set")
    export.add_argument(
        "--all",
        action="store_true",
        help="PROFILE is a folder of clients: one table of all, or a new folder with a bundle of each",
    )
    add_target(export)
    add_content(export)


def _export(arguments: argparse.Namespace) -> int:
    from coach.store.clock import now
    from coach.toml.new_file import refuse_existing

    refuse_existing(arguments.to)
    if arguments.all:
        return export_all(arguments.profile, "fhir" if arguments.fhir else "csv", arguments.to)
    store = client_store(arguments.profile)
    no_session = store.admission(now().at).sentence
    print_no_session(no_session)
    if arguments.fhir:
        return _fhir(store, no_session, arguments.to)
    summary, data = _csv(store)
    print(summary, end="", flush=True)
    return write_file(arguments.to, data, store.content.messages.therapist.export.written)


def _fhir(store: "ClientStore", no_session: str, to: Path) -> int:
    """Write the bundle, which says why no session may start now; what it holds is said before it gets its name."""
    from coach.model.message_format import fill
    from coach.reports.fhir.bundle import fhir_json, fhir_resources
    from coach.reports.fhir.export_summary import fhir_summary
    from coach.toml.new_file import new_file

    profile, prescription, records, content = store.profile, store.prescription, store.records, store.content
    observations = 0

    def counted() -> "Iterator[Json]":
        nonlocal observations
        for one in fhir_resources(profile, prescription, records, store.progress, content, no_session):
            observations += one["resourceType"] == "Observation"
            yield one

    with new_file(to) as file:
        for part in fhir_json(profile, counted()):
            file.write(part)
        print(fhir_summary(profile, prescription, records, observations, content), end="", flush=True)
    return print_result(fill(content.messages.therapist.export.written, {"file": to}))


def _csv(store: "ClientStore") -> tuple[str, bytes]:
    """The summary of the table, and the table."""
    from coach.reports.fhir.export_summary import csv_summary
    from coach.reports.tables.csv_table import csv_table
    from coach.store.measured_files import read_measured

    profile, records, content = store.profile, store.records, store.content
    measured = read_measured(store.folder).by_set
    return csv_summary(profile, records, content), csv_table(profile, records, store.progress, content, measured)
