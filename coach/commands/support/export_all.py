"""An export of every client of a folder: one table, or a folder with a bundle of each."""

from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from coach.commands.support.caseload_loading import caseload_content
from coach.commands.support.output import FAULTS, FINE, exit_code_of, print_error, print_result
from coach.commands.support.progress_bar import progress_bar

if TYPE_CHECKING:
    from coach.model.content import Content
    from coach.store.client_store import ClientStore

Form = Literal["fhir", "csv"]


@dataclass(frozen=True)
class _Exported:
    """What an export holds of one client; `fault` says why it holds nothing of them, and `notices` what it lacks."""

    folder: str
    data: bytes = b""
    fault: str = ""
    notices: tuple[str, ...] = ()


def export_all(folder: Path, form: Form, to: Path) -> int:
    """Write the export and return the exit code. A client who cannot be exported is named, and the others are."""
    from coach.model.message_format import fill
    from coach.reports.fhir.export_summary import all_summary
    from coach.store.client_paths import clients_in
    from coach.store.client_pool import for_clients

    content, names = caseload_content(folder), clients_in(folder)
    messages, faults = content.messages.therapist, 0
    holds = messages.export.fhir_all_holds if form == "fhir" else messages.export.csv_all_holds
    print(all_summary(holds, len(names), content), end="", flush=True)
    said, work = list[str](), partial(_exported, form=form, contents={})
    with (
        _WRITERS[form](to) as write,
        progress_bar(messages.working.exporting) as show,
        closing(for_clients([folder / name for name in names], work)) as clients,
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


def _exported(path: Path, form: Form, contents: "dict[str, Content]") -> _Exported:
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
        contents[language].exercise(client.prescription.exercise)
        notices = tuple(f"{one.path.name}: {one.what}" for one in client.notices)
        return _Exported(path.name, _FORMS[form](ClientStore(client, contents[language])), notices=notices)
    except Exception as error:
        if exit_code_of(error) is None:
            raise
        return _Exported(path.name, fault=str(error))


def _bundle(store: "ClientStore") -> bytes:
    from coach.reports.fhir.bundle import fhir_json, fhir_resources
    from coach.store.clock import now

    no_session = store.admission(now().at).sentence
    who = (store.profile, store.prescription, store.records, store.progress)
    return b"".join(fhir_json(store.profile, fhir_resources(*who, store.content, no_session)))


def _rows(store: "ClientStore") -> bytes:
    from coach.reports.tables.csv_table import csv_rows
    from coach.store.measured_files import read_measured

    measured = read_measured(store.folder).by_set
    return csv_rows(store.profile, store.records, store.progress, store.content, measured)


@contextmanager
def _bundles_in(folder: Path) -> Iterator[Callable[[str, bytes], object]]:
    from coach.toml.new_file import new_folder

    with new_folder(folder) as write:
        yield lambda name, data: write(f"{name}.json", data)


@contextmanager
def _table_in(file: Path) -> Iterator[Callable[[str, bytes], object]]:
    from coach.reports.tables.csv_table import csv_heading
    from coach.toml.new_file import new_file

    with new_file(file) as table:
        table.write(csv_heading())
        yield lambda _, data: table.write(data)


_FORMS = {"fhir": _bundle, "csv": _rows}
_WRITERS = {"fhir": _bundles_in, "csv": _table_in}
