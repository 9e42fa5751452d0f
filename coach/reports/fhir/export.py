"""An export, ready to be written: its bytes, and what to say before they are."""

from dataclasses import dataclass

from coach.model.content import Content
from coach.reports.fhir.bundle import fhir_bundle, fhir_text
from coach.reports.fhir.export_summary import csv_holds, fhir_holds
from coach.reports.tables.csv_table import csv_table
from coach.store.client_folder import ProfileFolder
from coach.store.client_store import standing


@dataclass(frozen=True)
class Export:
    """The bytes of a file, and what it holds in words."""

    data: bytes
    holds: str


def fhir_export(folder: ProfileFolder, content: Content) -> Export:
    """Plan and history as an HL7 FHIR R4 bundle."""
    records = [one.record for one in folder.kept]
    now = standing(folder, content)
    bundle = fhir_bundle(folder.profile, folder.prescription, records, now, content)
    return Export(fhir_text(bundle), fhir_holds(folder.profile, folder.prescription, records, bundle, content))


def csv_export(folder: ProfileFolder, content: Content) -> Export:
    """The sets as a table for a spreadsheet."""
    records = [one.record for one in folder.kept]
    now = standing(folder, content)
    return Export(csv_table(folder.profile, records, now, content), csv_holds(folder.profile, records, content))
