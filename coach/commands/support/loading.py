"""What a command loads: content, a client, their next session and their history."""

from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.output import FINE, print_error

if TYPE_CHECKING:
    from contextlib import AbstractContextManager

    from coach.model.answers_file import Answers
    from coach.model.content import Content, Gap
    from coach.overview.history_chart import ClientHistory
    from coach.session.plan import Plan
    from coach.store.client_store import ClientStore

_THERAPIST_LANGUAGE = "en"


def therapist_content(clinic: Path | None = None) -> "Content":
    """The content in the therapist's language, with the overrides of a clinic."""
    from coach.content_files.content_folder import content_folder, load_content

    return load_content(content_folder(), _THERAPIST_LANGUAGE, clinic)


def client_store(path: Path) -> "ClientStore":
    """A client as the files are now, with the content in the client's language and of their clinic.

    Raises FileFault, and NoExercise where the content lacks the prescribed exercise.
    """
    from coach.store.client_store import ClientStore

    store = ClientStore.read(path, on_gaps=report_gaps)
    report_notices(store)
    return store


def report_notices(store: "ClientStore") -> None:
    """Report damaged records, copies of files, and a review that no record explains, on standard error."""
    from coach.store.guards.held_review import held_fault

    held = [held_fault(store)] if any(one.is_held for one in store.exercises) else []
    for notice in (*store.folder.notices, *held):
        print_error(f"{notice.path.name}: {notice.what.rstrip('.')}. For what to do: coach check", FINE)


def locked_client_store(path: Path) -> "AbstractContextManager[ClientStore]":
    """As `client_store`, with the client's folder locked before it is read. Raises InUse."""
    from coach.store.client_store import ClientStore

    return ClientStore.locked(path, on_gaps=report_gaps)


def report_gaps(gaps: "tuple[Gap, ...]") -> None:
    """Report messages that are missing in the client's language, on standard error so that output stays clean."""
    missing = "all messages are" if not gaps[0].key else f"{', '.join(gap.key for gap in gaps)}:"
    print_error(f"{gaps[0].file}: {missing} missing, shown in another language. For all gaps: coach check", FINE)


def print_no_session(why: str) -> None:
    """Print on standard error why no session may start now, in the sentence that the session itself would say."""
    if why:
        print_error(why, FINE)


def plan_of_exercise(store: "ClientStore", position: str | None = None) -> "Plan":
    """The next session of one exercise; with `position`, at the lowest step of another position.

    Where none may start now, the plan says why. Raises NoSession where no load can be planned.
    """
    from coach.session.plan import plan_session
    from coach.store.clock import now

    progress = store.progress
    if position is not None and position != progress.position:
        # A load that the therapist asked for belongs to the position it was asked for in, as the load in use does.
        progress = progress.model_copy(update={"position": position, "load": None, "asked": None})
    admission = store.admission(now().at, progress)
    if admission.plan is not None:
        return admission.plan
    print_no_session("" if admission.obstacle == "load" else admission.sentence)
    return plan_session(store.profile, store.prescription, store.content, progress)


def client_history(path: Path) -> "ClientHistory":
    """Everything that the client did, answered and was measured, of the first exercise of a programme."""
    return history_of_exercise(client_store(path))


def history_of_exercise(store: "ClientStore") -> "ClientHistory":
    """Everything that the client did, answered and was measured of one exercise, as of today."""
    from coach.model.programme.due_days import own_days
    from coach.overview.history_chart import ClientHistory
    from coach.store.clock import now

    progress, today = store.folded_progress, now().at.date()
    days = own_days(store.folder.prescribed.programme, store.folder.name)
    return ClientHistory(store.profile, store.prescription, store.sessions, progress, store.content, today, days)


def read_answers(path: Path | None) -> "Answers | None":
    """The answers in a file; None without a path. Raises FileFault."""
    from coach.model.answers_file import Answers
    from coach.toml.reader import read_model

    return read_model(path, Answers) if path is not None else None
