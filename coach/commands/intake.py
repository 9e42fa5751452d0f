"""`coach intake`: a new client, from a form in the terminal or from hand-written files."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.arguments import Commands, add_command, add_content
from coach.commands.support.loading import therapist_content
from coach.commands.support.output import print_result

if TYPE_CHECKING:
    from coach.model.content import Content
    from coach.store.therapist.intake import ClientTexts


def add_commands(commands: Commands) -> None:
    """Add intake."""
    intake = add_command(
        commands,
        "intake",
        _intake,
        "The form reports mistakes as you type, and shows the load and setup of the first "
        "session before it saves. Hand-written files are checked in the same way and then "
        "copied. An existing folder is never overwritten.",
        (
            "mkdir -p clients",
            "coach intake clients/wren",
            "coach intake clients/siskin --from demo_profiles/tern",
        ),
        client=False,
    )
    intake.add_argument("folder", type=Path, metavar="FOLDER", help="the new folder; its name is the pseudonym")
    intake.add_argument(
        "--from",
        dest="drafts",
        type=Path,
        metavar="DRAFTS",
        help="a folder with a hand-written profile.toml, and a programme/0001.toml or a prescription.toml",
    )
    add_content(intake)


def _intake(arguments: argparse.Namespace) -> int:
    from coach.screens.terminal import require_screens
    from coach.store.client_paths import clinic_of
    from coach.toml.new_file import refuse_existing

    folder = Path(arguments.folder)
    refuse_existing(folder)
    content = therapist_content(clinic_of(folder))
    if arguments.drafts is not None:
        return _from_drafts(arguments.drafts, folder, content)
    require_screens("The form needs a terminal. With hand-written files: coach intake FOLDER --from DRAFTS")
    return _on_screen(folder, content)


def _from_drafts(drafts: Path, folder: Path, content: "Content") -> int:
    """Copy the two files if they are valid. Raises FileFault with the positions in the drafts."""
    from coach.store.therapist.intake import check_client_texts, create_client
    from coach.toml.diagnostic import FileFault

    texts = _texts_in(drafts)
    faults = check_client_texts(texts, drafts, content).faults
    if faults:
        raise FileFault(faults)
    create_client(texts, folder, content)
    return _report_saved(texts, folder, content)


def _on_screen(folder: Path, content: "Content") -> int:
    from coach.screens.therapist.intake_screen import IntakeScreen
    from coach.screens.therapist.therapist_app import TherapistApp
    from coach.store.clock import now

    screen = IntakeScreen(folder, content, now().at.date())
    code = TherapistApp(screen).run_to_end()
    if not screen.saved:
        print(content.messages.therapist.intake.not_saved)
        return code
    return _report_saved(_texts_in(folder), folder, content)


def _texts_in(folder: Path) -> "ClientTexts":
    """The profile in a folder and what is prescribed there, the newest version of it."""
    from coach.store.client_paths import PROFILE
    from coach.store.programme.prescribed import prescribed_file
    from coach.store.therapist.intake import ClientTexts
    from coach.toml.reader import read_text

    file = prescribed_file(folder)
    return ClientTexts(read_text(folder / PROFILE), read_text(file), str(file.relative_to(folder)))


def _report_saved(texts: "ClientTexts", folder: Path, content: "Content") -> int:
    from coach.model.message_format import fill
    from coach.overview.first_session import first_sessions_text
    from coach.store.therapist.intake import check_client_texts

    messages = content.messages.therapist.intake
    print(first_sessions_text(check_client_texts(texts, folder, content).plans, messages))
    return print_result(fill(messages.saved, {"folder": folder}))
