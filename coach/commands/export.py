"""`coach export`: plan and history for another system, or as a table."""

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING

from coach.commands.support.arguments import Commands, add_command, add_content, add_exercise, add_target
from coach.commands.support.exercises import chosen_exercises, has_several, records_of
from coach.commands.support.loading import print_no_session
from coach.commands.support.output import write_file

if TYPE_CHECKING:
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
        ),
    )
    form = export.add_mutually_exclusive_group(required=True)
    form.add_argument("--fhir", action="store_true", help="an HL7 FHIR R4 bundle, for a clinic's own system")
    form.add_argument("--csv", action="store_true", help="a table for a spreadsheet, one row for each set")
    add_target(export)
    add_exercise(export)
    add_content(export)


def _export(arguments: argparse.Namespace) -> int:
    from coach.store.clock import now
    from coach.toml.new_file import refuse_existing

    refuse_existing(arguments.to)
    stores, at = chosen_exercises(arguments), now().at
    no_session = [store.admission(at).sentence for store in stores]
    for why in dict.fromkeys(no_session):
        print_no_session(why)
    summary, data = _fhir(stores, no_session) if arguments.fhir else _csv(stores)
    print(summary, end="", flush=True)
    return write_file(arguments.to, data, stores[0].content.messages.therapist.export.written)


def _fhir(stores: "Sequence[ClientStore]", no_session: Sequence[str]) -> tuple[str, bytes]:
    """The summary of the bundle, and the bundle as JSON, which says why no session may start now."""
    from coach.reports.fhir.bundle import ExportedExercise, fhir_json, programme_bundle
    from coach.reports.fhir.export_summary import fhir_summary
    from coach.session.phrases import exercise_line

    first, records = stores[0], records_of(stores)
    programme, profile = first.folder.prescribed.programme, first.folder.own_profile
    exercises = tuple(
        ExportedExercise(
            store.profile,
            store.prescription,
            store.progress,
            why,
            exercise_line(store.prescription.exercise, store.profile.side, store.content)
            if has_several(store)
            else "",
            programme.exercise(store.folder.name or "").days if programme is not None else (),
        )
        for store, why in zip(stores, no_session, strict=True)
    )
    bundle = programme_bundle(profile, exercises, records, first.content)
    prescriptions = [store.prescription for store in stores]
    return fhir_summary(profile, prescriptions, records, bundle, first.content), fhir_json(bundle)


def _csv(stores: "Sequence[ClientStore]") -> tuple[str, bytes]:
    """The summary of the table, and the table."""
    from coach.reports.fhir.export_summary import csv_summary
    from coach.reports.tables.csv_table import csv_table
    from coach.store.measured_files import read_measured

    first, records = stores[0], records_of(stores)
    profile, content = first.profile, first.content
    measured = read_measured(first.folder).by_set
    table = csv_table(profile, records, first.progress, content, measured, has_several(first))
    return csv_summary(profile, records, content), table
