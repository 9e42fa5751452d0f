"""`coach caseload`: all clients of a folder."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, get_args

from coach.commands.exchange.exchanging import came_in_text
from coach.commands.support.arguments import Commands, add_command, add_content, add_signs, add_theme
from coach.commands.support.caseload_loading import caseload_content, caseload_lines
from coach.commands.support.output import FINE
from coach.model.option_names import CaseloadOrder

if TYPE_CHECKING:
    from coach.model.content import Content


def add_commands(commands: Commands) -> None:
    """Add caseload."""
    caseload = add_command(
        commands,
        "caseload",
        _caseload,
        "One line for each client. First come those in review, with a warning sign, with "
        "rising pain, with fewer repetitions, not seen for a while, or at twelve weeks. "
        "In the terminal, type to find a client, an exercise or a need; enter opens a "
        "client: preview, decisions, setup, charts, visit, steering, history, forecast, check.",
        ("coach caseload demo_profiles", "coach caseload demo_profiles --plain --find external --sort pain"),
        client=False,
    )
    caseload.add_argument(
        "folder",
        type=Path,
        nargs="?",
        metavar="FOLDER",
        help="the folder that holds the clients' folders (default: the one that coach where names)",
    )
    caseload.add_argument("--plain", action="store_true", help="print text; the default without a terminal")
    caseload.add_argument(
        "--find",
        default="",
        metavar="WORDS",
        help="only clients with all of these words in their name, exercises, positions or needs",
    )
    caseload.add_argument("--discharged", action="store_true", help="also the clients who were discharged")
    caseload.add_argument("--sort", choices=get_args(CaseloadOrder), default="need", help="the order (default: need)")
    add_theme(caseload, "dusk")
    add_signs(caseload, "auto")
    add_content(caseload)


def _caseload(arguments: argparse.Namespace) -> int:
    from coach.overview.caseload_lines import left_out_text, search_lines, sorted_lines
    from coach.reports.text.caseload import caseload_text
    from coach.screens.terminal import shows_screens
    from coach.store.arrivals.last_look import note_look
    from coach.store.clock import now

    arguments.folder = arguments.folder or _named_folder()
    content = caseload_content(arguments.folder)
    if not arguments.plain and shows_screens():
        return _on_screen(arguments, content)
    every = caseload_lines(arguments.folder, show_progress=True)
    lines = sorted_lines(search_lines(every, arguments.find, arguments.discharged), arguments.sort)
    hidden = "" if arguments.discharged or arguments.find else left_out_text(every, content)
    came_in, at = came_in_text(arguments.folder, every, content), now().at
    print(caseload_text(arguments.folder.resolve().name, lines, at, content, came_in, hidden), end="", flush=True)
    note_look(arguments.folder, at)
    return FINE


def _named_folder() -> Path:
    """The folder of this computer's clients. Raises FileFault, and Refusal where none was named."""
    from coach.store.home.places import named_folder
    from coach.toml.diagnostic import Refusal, whole_file

    named = named_folder()
    if named is None:
        fix = "name it here, or once for always: coach where FOLDER"
        raise Refusal([whole_file(Path(), "which clients? No folder was named", "the folder of all clients", fix)])
    return named


def _on_screen(arguments: argparse.Namespace, content: "Content") -> int:
    from coach.commands.support.report_factories import report_sources
    from coach.screens.therapist.caseload_screen import CaseloadScreen
    from coach.screens.therapist.therapist_app import TherapistApp
    from coach.store.arrivals.last_look import note_look
    from coach.store.clock import now

    sources = report_sources(arguments.folder, content)
    lines = caseload_lines(arguments.folder, show_progress=True)
    came_in, at = came_in_text(arguments.folder, lines, content), now().at
    first = CaseloadScreen(sources, lines, arguments.find, arguments.sort, came_in, arguments.discharged)
    code = TherapistApp(first, arguments.theme, arguments.signs).run_to_end()
    note_look(arguments.folder, at)
    return code
