"""What a command is given: a client, the content they are judged by, their next session and their past."""

from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.output import FINE, say

if TYPE_CHECKING:
    from coach.model.answers_file import Answers
    from coach.model.content import Content, Gap
    from coach.model.progress import Progress
    from coach.overview.history_chart import Past
    from coach.session.plan import Plan
    from coach.store.client_folder import ProfileFolder

_THERAPISTS = "en"  # the language of the therapist, whatever the clients read


def therapists_content(clinic: Path | None = None) -> "Content":
    """The content in the therapist's language, with a clinic's own."""
    from coach.content_files.content_folder import content_folder, load_content

    return load_content(content_folder(), _THERAPISTS, clinic)


def client_and_content(path: Path, mends: bool = False) -> "tuple[ProfileFolder, Content]":
    """A client's folder, and the content in the client's language, with the clinic's own.

    With `mends` a torn record is mended, which only the holder of the lock may do. NoExercise where what is
    prescribed is not in the content.
    """
    from coach.content_files.content_folder import content_folder, load_content
    from coach.store.client_folder import read_profile_folder
    from coach.store.client_paths import clinic_of

    folder = read_profile_folder(path, mends)
    content = load_content(content_folder(), folder.profile.language, clinic_of(path), _said_otherwise)
    content.exercise(folder.prescription.exercise)
    return folder, content


def _said_otherwise(gaps: "tuple[Gap, ...]") -> None:
    """A page lacks words in the client's language: beside the page, so that what goes into a file stays clean."""
    lines = "all its words are" if not gaps[0].key else f"{', '.join(gap.key for gap in gaps)}:"
    say(f"{gaps[0].file}: {lines} missing, and said in another language. All gaps: coach check", FINE)


def plan_of(path: Path, position_deg: int | None = None) -> "Plan":
    """The client's next session; or the same client at the lowest step of another position."""
    from coach.session.plan import plan_session
    from coach.store.client_store import standing

    folder, content = client_and_content(path)
    progress = standing(folder, content)
    if position_deg is not None and position_deg != progress.position_deg:
        progress = progress.model_copy(update={"position_deg": position_deg, "load": None})
    return plan_session(folder.profile, folder.prescription, content, progress)


def past_of(path: Path) -> "Past":
    """Everything that the client did, said and was measured, as of today."""
    from coach.overview.history_chart import Past
    from coach.store.client_store import judged
    from coach.store.clock import now

    folder, content = client_and_content(path)
    progress, sessions = judged(folder, content)
    return Past(folder.profile, folder.prescription, sessions, progress, content, now().at.date())


def in_review(progress: "Progress", content: "Content") -> str:
    """Why there is nothing to do before the therapist has looked, and what to do until then."""
    from coach.model.message_format import fill
    from coach.session.phrases import what_to_do

    decision = progress.decision
    urgent = what_to_do(decision, content) if decision is not None else ""
    reason = {"reason": decision.reason if decision is not None else ""}
    return f"{urgent} {fill(content.words.screens.offer.review, reason)}".strip()


def answers_in(path: Path | None) -> "Answers | None":
    """The answers of a file; None where none is named."""
    from coach.model.answers_file import Answers
    from coach.toml.reader import read_model

    return read_model(path, Answers) if path is not None else None
