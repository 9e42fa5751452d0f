"""An export of every client of a folder: one table, or a folder with a bundle of each."""

from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from msgspec import Struct

from coach.commands.support.caseload_loading import caseload_content
from coach.commands.support.exported import resources_of, rows_of
from coach.commands.support.output import FAULTS, FINE, USAGE, exit_code_of, print_error, print_result
from coach.commands.support.progress_bar import progress_bar, uninterrupted_removal

if TYPE_CHECKING:
    from coach.model.content import Content
    from coach.reports.tables.csv_table import TableForm
    from coach.store.client_store import ClientStore

Form = Literal["fhir", "csv"]


class _Exported(Struct, frozen=True):
    """What an export holds of one client; `fault` says why it holds nothing of them, and `notices` what it lacks."""

    folder: str
    data: bytes = b""
    fault: str = ""
    notices: tuple[str, ...] = ()


def export_all(folder: Path, form: Form, to: Path, locale: str | None = None) -> int:
    """Write the export and return the exit code. A client who cannot be exported is named, and the others are.

    `locale` is that of the spreadsheet; without it, that of the clinic.
    """
    from coach.model.message_format import fill
    from coach.reports.fhir.export_summary import all_summary
    from coach.reports.tables.csv_table import TableForm
    from coach.reports.tables.spreadsheet import form_of
    from coach.store.client_paths import clients_in
    from coach.store.client_pool import for_clients

    content, names = caseload_content(folder), clients_in(folder)
    messages, faults = content.messages.therapist, 0
    try:
        table = TableForm(True, form_of(locale or content.clinic.locale))
    except ValueError as error:
        return print_error(f"{error}.", USAGE)
    holds = (
        (*messages.export.fhir_all_holds, messages.export.loinc) if form == "fhir" else messages.export.csv_all_holds
    )
    print(all_summary(holds, len(names), content), end="", flush=True)
    said, work = list[str](), partial(_exported, form=form, table=table, contents={})
    with (
        uninterrupted_removal(messages.working.stopping),
        _WRITERS[form](to, table) as write,
        progress_bar(messages.working.exporting) as show,
        closing(for_clients(folder, names, work)) as clients,
    ):
        for number, one in enumerate(clients, start=1):
            if one.fault:
                faults += 1
                said.append(one.fault)
            else:
                write(one.folder, one.data)
            said += [f"{one.folder}: {notice}" for notice in one.notices]
            show(number, len(names))
    for line in said:
        print_error(f"{line}\n", FAULTS)
    print_result(fill(messages.export.written, {"file": to}))
    return print_error(fill(messages.export.not_exported, {"count": faults}), FAULTS) if faults else FINE


def _exported(path: Path, form: Form, table: "TableForm", contents: "dict[str, Content]") -> _Exported:
    """The export of one client; `contents` are those read so far, by language."""
    from coach.content_files.content_folder import content_folder, load_content
    from coach.store.client_folder import read_client_folder
    from coach.store.client_paths import clinic_of
    from coach.store.client_store import ClientStore

    try:
        client = read_client_folder(path)
        language = client.profile.language
        if language not in contents:
            contents[language] = load_content(content_folder(), language, clinic_of(path))
        for name in client.prescribed.names:
            contents[language].exercise(client.prescribed.of(name).exercise)
        notices = tuple(f"{one.path.name}: {one.what}" for one in client.notices)
        return _Exported(path.name, _FORMS[form](ClientStore(client, contents[language]), table), notices=notices)
    except Exception as error:
        if exit_code_of(error) is None:
            raise
        return _Exported(path.name, fault=str(error))


def _bundle(store: "ClientStore", _: "TableForm") -> bytes:
    from coach.reports.fhir.bundle import fhir_json
    from coach.store.clock import now

    stores, at = store.exercises, now().at
    no_session = [one.admission(at).sentence for one in stores]
    return b"".join(fhir_json(store.folder.own_profile, resources_of(stores, no_session)))


def _rows(store: "ClientStore", form: "TableForm") -> bytes:
    return rows_of(store.exercises, form)


@contextmanager
def _bundles_in(folder: Path, _: "TableForm") -> Iterator[Callable[[str, bytes], object]]:
    from coach.toml.new_file import new_folder

    with new_folder(folder) as write:
        yield lambda name, data: write(f"{name}.json", data)


@contextmanager
def _table_in(file: Path, form: "TableForm") -> Iterator[Callable[[str, bytes], object]]:
    from coach.reports.tables.csv_table import csv_heading
    from coach.toml.new_file import new_file

    with new_file(file) as table:
        table.write(csv_heading(form))
        yield lambda _, data: table.write(data)


_FORMS = {"fhir": _bundle, "csv": _rows}
_WRITERS = {"fhir": _bundles_in, "csv": _table_in}
