"""What the therapist runs to take on a client: a form in the terminal, or files written by hand, checked."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.arguments import declare
from coach.commands.support.loading import therapists_content
from coach.commands.support.output import tell

if TYPE_CHECKING:
    from coach.model.content import Content
    from coach.store.therapist.intake import Texts


def declare_all(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """intake."""
    intake = declare(
        commands,
        "intake",
        _intake,
        "take on a new client, in a form or from files",
        "The form says what is wrong as it is typed, and the load and setup of the first\n"
        "session before it saves. Files written by hand are checked in the same way and\n"
        "put in place. A folder that is there is never written over.",
        (
            "mkdir -p clients",
            "coach intake clients/wren",
            "coach intake clients/siskin --from demo_profiles/tern",
        ),
        client=False,
    )
    intake.add_argument("folder", type=Path, metavar="FOLDER", help="a new folder; its name is the pseudonym")
    intake.add_argument(
        "--from",
        dest="drafts",
        type=Path,
        metavar="DRAFTS",
        help="a folder with profile.toml and prescription.toml, written by hand",
    )


def _intake(chosen: argparse.Namespace) -> int:
    from coach.screens.terminal import require_screens
    from coach.store.client_paths import clinic_of
    from coach.toml.new_file import refuse_existing

    folder = Path(chosen.folder)
    refuse_existing(folder)
    content = therapists_content(clinic_of(folder))
    if chosen.drafts is not None:
        return _from_drafts(chosen.drafts, folder, content)
    require_screens("A form needs a terminal. With files written by hand: coach intake FOLDER --from DRAFTS")
    return _on_screen(folder, content)


def _from_drafts(drafts: Path, folder: Path, content: "Content") -> int:
    """The two files as they are, if they are right; what is wrong is said at its place in the drafts."""
    from coach.store.client_paths import PRESCRIPTION, PROFILE
    from coach.store.therapist.intake import Texts, check, take_on
    from coach.toml.diagnostic import FileFault
    from coach.toml.reader import read_text

    texts = Texts(read_text(drafts / PROFILE), read_text(drafts / PRESCRIPTION))
    faults = check(texts, drafts, content).faults
    if faults:
        raise FileFault(faults)
    take_on(texts, folder, content)
    return _said(texts, folder, content)


def _on_screen(folder: Path, content: "Content") -> int:
    from coach.model.messages.intake import IntakeWords
    from coach.screens.therapist.intake_screen import IntakeScreen
    from coach.screens.therapist.therapist_app import TherapistApp
    from coach.store.client_paths import PRESCRIPTION, PROFILE
    from coach.store.clock import now
    from coach.store.therapist.intake import Texts
    from coach.toml.reader import read_text

    screen = IntakeScreen(folder, content, now().at.date())
    code = TherapistApp(screen).go()
    if not screen.saved:
        print(content.words.of(IntakeWords).not_saved)
        return code
    return _said(Texts(read_text(folder / PROFILE), read_text(folder / PRESCRIPTION)), folder, content)


def _said(texts: "Texts", folder: Path, content: "Content") -> int:
    from coach.model.message_format import fill
    from coach.model.messages.intake import IntakeWords
    from coach.overview.first_session import first_session
    from coach.store.therapist.intake import check

    words = content.words.of(IntakeWords)
    print(first_session(check(texts, folder, content).plan, words))
    return tell(fill(words.saved, {"folder": folder}))
