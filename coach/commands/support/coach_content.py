"""What the coach's commands load: their messages, and the client for whom screens and scripts are shown."""

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from coach.model.messages.coach import CoachMessages
    from coach.model.prescription import Prescription
    from coach.model.profile import Profile


def coach_messages(language: str = "en") -> "CoachMessages":
    """The messages of the coach's commands. They are read from the shipped content, the edited one may be broken."""
    from coach.content_files.content_folder import COACH, languages, shipped_folder
    from coach.content_files.read_content import language_files
    from coach.model.messages.coach import CoachMessages

    shipped = shipped_folder()
    known = language if language in languages(shipped) else "en"
    return language_files(shipped, known).read(COACH, CoachMessages)


def profile_and_prescription(client: Path | None) -> "tuple[Profile, Prescription]":
    """Profile and prescription of the client whose screens are shown; without one, of the stand-in in the content."""
    from coach.content_files.content_folder import content_folder
    from coach.model.prescription import Prescription
    from coach.model.profile import Profile
    from coach.store.client_folder import require_profile
    from coach.store.client_paths import PRESCRIPTION, PROFILE
    from coach.toml.reader import read_model

    path = client or content_folder() / "stand_in"
    require_profile(path)
    return read_model(path / PROFILE, Profile), read_model(path / PRESCRIPTION, Prescription)
