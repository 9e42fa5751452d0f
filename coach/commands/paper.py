"""What leaves the program as a file: the handout, and the export for other systems."""

import argparse

from coach.commands.support.arguments import add_target, declare
from coach.commands.support.loading import client_and_content, in_review
from coach.commands.support.output import FAULTS, NOT_NOW, say, written


def declare_all(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """handout, export."""
    handout = declare(
        commands,
        "handout",
        _handout,
        "a page to print and hang on the wall",
        "Setup to scale, dose, checks, cues, when to stop and a log to tick, on one page\n"
        "in the client's language, to be read in black and white.",
        (
            "coach handout demo_profiles/tern --to tern.pdf",
            "coach handout demo_profiles/heron --paper letter --to heron.pdf",
        ),
    )
    handout.add_argument(
        "--paper", choices=("a4", "letter"), default="a4", help="the size of the paper; a4 without it"
    )
    add_target(handout, "FILE.pdf")
    export = declare(
        commands,
        "export",
        _export,
        "plan and history for another system, or as a table",
        "What the file holds of the client is said before it is written. It holds the\n"
        "pseudonym and health data: whoever passes it on answers for it.",
        (
            "coach export demo_profiles/plover --fhir --to plover.json",
            "coach export demo_profiles/plover --csv --to plover.csv",
        ),
    )
    form = export.add_mutually_exclusive_group(required=True)
    form.add_argument("--fhir", action="store_true", help="an HL7 FHIR R4 bundle, for a clinic's own system")
    form.add_argument("--csv", action="store_true", help="a table, one row a set, for a spreadsheet")
    add_target(export)


def _handout(chosen: argparse.Namespace) -> int:
    from coach.model.messages.handout import HandoutWords
    from coach.reports.pdf.handout import NotOnePage, handout_pdf
    from coach.session.plan import plan_session
    from coach.store.client_store import standing
    from coach.toml.new_file import refuse_existing

    refuse_existing(chosen.to)
    folder, content = client_and_content(chosen.profile)
    progress = standing(folder, content)
    if progress.status == "review":
        return say(in_review(progress, content), NOT_NOW)
    plan = plan_session(folder.profile, folder.prescription, content, progress)
    try:
        page = handout_pdf(plan, [one.record for one in folder.kept], chosen.paper)
    except NotOnePage as error:
        return say(f"{error}.", FAULTS)
    return written(chosen.to, page, content.words.of(HandoutWords).written)


def _export(chosen: argparse.Namespace) -> int:
    from coach.model.messages.export import ExportWords
    from coach.reports.fhir.export import csv_export, fhir_export
    from coach.toml.new_file import refuse_existing

    refuse_existing(chosen.to)
    folder, content = client_and_content(chosen.profile)
    made = (fhir_export if chosen.fhir else csv_export)(folder, content)
    print(made.holds, end="", flush=True)
    return written(chosen.to, made.data, content.words.of(ExportWords).written)
