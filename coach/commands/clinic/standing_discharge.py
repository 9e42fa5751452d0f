"""The discharge of a client as the caseload has it: none of a client who is on the list again."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from coach.progression.programme.after_visit import Discharged
    from coach.store.client_store import ClientStore


def standing_discharge(store: "ClientStore") -> "Discharged | None":
    """The discharge that keeps a client off the list; None where there is none, or a need ended it.

    What the client needs is asked only where something came that the discharge did not know of.
    """
    from coach.progression.programme.after_visit import discharged_at, sessions_since_discharge

    visits = store.folder.visits
    left = discharged_at(visits)
    if left is None or not sessions_since_discharge(visits, store.records):
        return left
    return None if _is_on_list(store) else left


def _is_on_list(store: "ClientStore") -> bool:
    from coach.content_files.caseload_needs import load_needs
    from coach.content_files.content_folder import content_folder
    from coach.overview.caseload_lines import LineSources, caseload_line
    from coach.store.client_summary import summary_of_store
    from coach.store.clock import now

    at = now().at
    sources = LineSources(load_needs(content_folder()), store.content, at.date())
    return bool(caseload_line(summary_of_store(store, at).summary, sources).needs)
