"""What an export holds of a client: every exercise of the programme as resources of FHIR, or as rows of a table."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from coach.commands.support.exercises import has_several, records_of

if TYPE_CHECKING:
    from coach.reports.fhir.parts import Json
    from coach.reports.tables.csv_table import TableForm
    from coach.store.client_store import ClientStore


def resources_of(stores: "Sequence[ClientStore]", no_session: Sequence[str]) -> "Iterator[Json]":
    """The resources of a bundle of these exercises of one client; `no_session`: why none of each may start now."""
    from coach.commands.clinic.standing_discharge import standing_discharge
    from coach.reports.fhir.bundle import programme_resources
    from coach.reports.fhir.requests import ExportedExercise
    from coach.session.phrases import exercise_line

    first = stores[0]
    programme = first.folder.prescribed.programme
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
    visits, profile = first.folder.visits, first.folder.own_profile
    goals = next((one.goals for one in reversed(visits) if one.goals), ())
    left = standing_discharge(first)
    return programme_resources(profile, exercises, records_of(stores), first.content, goals, left)


def rows_of(stores: "Sequence[ClientStore]", form: "TableForm") -> bytes:
    """The rows of a table of these exercises of one client, and of what was signed for them."""
    from coach.model.instruction import Instruction
    from coach.reports.tables.csv_table import BesideRecords, csv_rows

    first, records = stores[0], records_of(stores)
    signed = list[Instruction]()  # one for all exercises is signed once
    for store in stores:
        signed += [one for one in store.prescription.sign_offs if one not in signed]
    beside = BesideRecords(first.folder.measured.by_set, tuple(signed))
    return csv_rows(first.profile, records, first.progress, first.content, beside, form)
