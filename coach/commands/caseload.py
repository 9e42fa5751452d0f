"""What the therapist runs to look over all clients of a folder."""

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, get_args

from coach.commands.support.arguments import add_theme, declare
from coach.commands.support.loading import therapists_content
from coach.commands.support.output import FINE
from coach.model.caseload_order import CaseOrder

if TYPE_CHECKING:
    from coach.model.content import Content
    from coach.overview.caseload_lines import CaseLine
    from coach.store.caseload import Said


def declare_all(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """caseload."""
    caseload = declare(
        commands,
        "caseload",
        _caseload,
        "all clients of a folder, those who need you first",
        "One line each. First who is in review, has a warning sign, has pain rising,\n"
        "does fewer repetitions, was not seen, or is at twelve weeks. In the terminal\n"
        "typed letters find a client, an exercise or a need; enter opens one client:\n"
        "preview, decisions, setup, pictures, history, forecast, steering, check.",
        ("coach caseload demo_profiles", "coach caseload demo_profiles --plain --find external --sort pain"),
        client=False,
    )
    caseload.add_argument("folder", type=Path, metavar="FOLDER", help="the folder that holds the clients' folders")
    caseload.add_argument("--plain", action="store_true", help="as text; so it is as well where there is no terminal")
    caseload.add_argument("--find", default="", metavar="WORDS", help="only clients with these words in name or need")
    caseload.add_argument("--sort", choices=get_args(CaseOrder), default="need", help="the order; need without it")
    add_theme(caseload, "dusk")


def _caseload(chosen: argparse.Namespace) -> int:
    from coach.overview.caseload_lines import in_order, matching
    from coach.reports.text.caseload import caseload_text
    from coach.screens.terminal import shows_screens
    from coach.store.clock import now

    content = content_beside(chosen.folder)
    if not chosen.plain and shows_screens():
        return _on_screen(chosen, content)
    lines = in_order(matching(lines_of(chosen.folder), chosen.find), chosen.sort)
    print(caseload_text(chosen.folder.resolve().name, lines, now().at, content), end="")
    return FINE


def _on_screen(chosen: argparse.Namespace, content: "Content") -> int:
    from coach.commands.support.report_factories import looks_at
    from coach.screens.therapist.caseload_screen import CaseloadScreen
    from coach.screens.therapist.therapist_app import TherapistApp

    looks = looks_at(chosen.folder, content)
    lines = lines_of(chosen.folder, tells=True)
    first = CaseloadScreen(looks, lines, chosen.find, chosen.sort)
    return TherapistApp(first, chosen.theme).go()


def content_beside(folder: Path) -> "Content":
    """The content that the clients of a folder are judged by: with what their clinic says otherwise."""
    from coach.store.client_paths import clinic_in

    return therapists_content(clinic_in(folder))


def lines_of(folder: Path, tells: bool = False) -> "list[CaseLine]":
    """The lines of a caseload as its files, the clinic's and the content are now; `tells` says how far it is."""
    from coach.content_files.content_folder import content_folder
    from coach.overview.caseload_lines import case_line
    from coach.store.caseload import load_needs, read_caseload
    from coach.store.clock import now

    content = content_beside(folder)
    needs, today = load_needs(content_folder()), now().at.date()
    read = read_caseload(folder, content, _teller(content) if tells else None)
    return [case_line(client, needs, content, today) for client in read]


def _teller(content: "Content") -> "Said":
    from coach.model.message_format import fill
    from coach.model.messages.caseload import CaseloadWords

    words = content.words.of(CaseloadWords)

    def tell(read: int, clients: int) -> None:
        if read % 50 == 0 or read == clients:
            end = "\r" if read < clients else "\n"
            print(fill(words.reading, {"read": read, "clients": clients}), end=end, file=sys.stderr, flush=True)

    return tell
