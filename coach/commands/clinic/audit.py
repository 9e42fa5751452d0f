"""`coach audit`: figures across all clients of a folder."""

import argparse
from contextlib import closing
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.clinic.courses import course_of, courses_of
from coach.commands.support.arguments import Commands, add_command, add_content
from coach.commands.support.caseload_loading import caseload_content
from coach.commands.support.output import FAULTS, FINE, USAGE, print_error, write_file
from coach.commands.support.progress_bar import progress_bar

if TYPE_CHECKING:
    from coach.model.content import Content
    from coach.overview.results.audit import Audit
    from coach.overview.results.client_course import CourseToDate


def add_commands(commands: Commands) -> None:
    """Add audit."""
    audit = add_command(
        commands,
        "audit",
        _audit,
        "Who came, for how long, what changed beyond the error of measurement, how much was done at tempo, and what "
        "ended it: of all clients, by position and by condition. Figures of a few people are left out. With --csv a "
        "table for a spreadsheet, in the form of the country in clinic/clinic.toml or of --locale.",
        (
            "coach audit demo_profiles",
            "coach audit demo_profiles --csv --locale de_DE --to audit.csv",
        ),
        client=False,
    )
    audit.add_argument("folder", type=Path, metavar="FOLDER", help="the folder that holds the clients' folders")
    audit.add_argument("--csv", action="store_true", help="a table with a row for each figure; needs --to")
    audit.add_argument("--locale", metavar="LOCALE", help="language and country of the spreadsheet, such as de_DE")
    audit.add_argument("--to", type=Path, metavar="FILE.csv", help="the new file to write")
    add_content(audit)


def _audit(arguments: argparse.Namespace) -> int:
    from coach.model.message_format import fill
    from coach.reports.tables.audit_table import audit_csv
    from coach.reports.tables.spreadsheet import form_of
    from coach.reports.text.results.audit import audit_text
    from coach.toml.new_file import refuse_existing

    if arguments.csv != (arguments.to is not None):
        return print_error("A table needs a new file: write --csv --to FILE.csv, or neither for text.", USAGE)
    if arguments.to is not None:
        refuse_existing(arguments.to)
    content = caseload_content(arguments.folder)
    try:
        form = form_of(arguments.locale or content.clinic.locale)
    except ValueError as error:
        return print_error(f"{error}.", USAGE)
    audit, faults = _counted(arguments.folder, content)
    least, messages = content.limit_values({})["audit_least"], content.messages.therapist.audit
    figures = audit.figures(least)
    for fault in faults:
        print_error(fault, FAULTS)
    if arguments.csv:
        write_file(arguments.to, audit_csv(figures, form), messages.written)
    else:
        name = arguments.folder.resolve().name
        print(audit_text(name, figures, audit.weeks, least, content), end="")
    if faults:
        told = {"clients": len(faults), "folder": arguments.folder}
        return print_error(fill(messages.unreadable, told), FAULTS)
    return FINE


def _counted(folder: Path, content: "Content") -> "tuple[Audit, list[str]]":
    """The figures of every client, and what is wrong with those who cannot be read."""
    from coach.overview.results.audit import Audit
    from coach.store.client_paths import clients_in
    from coach.store.client_pool import for_clients

    names, found, faults = clients_in(folder), Audit(), list[str]()
    work = partial(_course, content=content)
    with (
        progress_bar(content.messages.therapist.working.auditing) as show,
        closing(for_clients(folder, names, work)) as courses,
    ):
        for number, one in enumerate(courses, start=1):
            if isinstance(one, str):
                found.add_unreadable()
                faults.append(one)
            else:
                found.add(one)
            show(number, len(names))
    return found, faults


def _course(path: Path, content: "Content") -> "CourseToDate | str":
    """The course of one client; where the files cannot be read or judged, what is wrong with them."""
    from coach.store.client_store import ClientStore

    try:
        store = ClientStore.read(path, content)
        return course_of(store, courses_of(store))
    except Exception as error:
        return f"{path.name}: {str(error).splitlines()[0] if str(error) else type(error).__name__}"
