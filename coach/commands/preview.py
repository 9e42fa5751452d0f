"""`coach preview`: the next session as the client will see it, on screen, as text or as JSON."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.arguments import Commands, add_command, add_content, add_signs, add_theme
from coach.commands.support.loading import plan_of, print_no_session, read_answers
from coach.commands.support.output import FAULTS, FINE, print_error

if TYPE_CHECKING:
    from coach.model.answers_file import Answers
    from coach.session.plan import Plan


def add_commands(commands: Commands) -> None:
    """Add preview."""
    preview = add_command(
        commands,
        "preview",
        _preview,
        "show the next session as the client will see it",
        "Page by page in the terminal. The keys that the client would press try out "
        "answers; c compares the session after that with today's. An answers file starts "
        'with format = 1; [answer] has lines such as "set_2.blade" = "yes", [repetitions]\n'
        "such as 3 = 7. Answers that are left out are clean and without pain.",
        (
            "coach preview demo_profiles/heron",
            "coach preview demo_profiles/heron --text --answers demo_profiles/answers.toml",
            "coach preview demo_profiles/heron --decisions",
        ),
    )
    preview.add_argument(
        "--text", action="store_true", help="print the script with its times; the default without a terminal"
    )
    preview.add_argument("--json", action="store_true", help="print the script with its times as JSON")
    preview.add_argument(
        "--decisions", action="store_true", help="list the decision that each kind of session would lead to"
    )
    preview.add_argument("--answers", type=Path, metavar="FILE", help="read the client's answers from a file")
    add_theme(preview, "dusk")
    add_signs(preview, "auto")
    add_content(preview)


def _preview(arguments: argparse.Namespace) -> int:
    from coach.screens.terminal import shows_screens

    plan, answers = plan_of(arguments.profile), read_answers(arguments.answers)
    try:
        if not (arguments.text or arguments.json or arguments.decisions) and shows_screens():
            return _on_screen(plan, answers, arguments)
        print(_as_text(plan, answers, arguments), end="")
    except ValueError as error:
        if answers is None:
            raise
        return print_error(f"{arguments.answers}: {error}", FAULTS)
    return FINE


def _as_text(plan: "Plan", answers: "Answers | None", arguments: argparse.Namespace) -> str:
    from coach.store.clock import now

    at = now().at
    if arguments.decisions:
        from coach.reports.text.decision_table import decision_table_text

        print_no_session(plan.no_session)
        return decision_table_text(plan, at)
    if arguments.json:
        from coach.reports.tables.preview_json import preview_json

        return preview_json(plan, at, answers)
    if answers is not None:
        from coach.reports.text.next_session import what_if_text

        return what_if_text(plan, answers, at)
    from coach.reports.text.preview import preview_text

    return preview_text(plan, at)


def _on_screen(plan: "Plan", answers: "Answers | None", arguments: argparse.Namespace) -> int:
    from coach.commands.support.report_factories import PREVIEW_REPORTS
    from coach.screens.therapist.preview_screen import PreviewScreen
    from coach.screens.therapist.therapist_app import TherapistApp
    from coach.store.clock import now

    first = PreviewScreen(plan, now().at, PREVIEW_REPORTS, answers)
    return TherapistApp(first, arguments.theme, arguments.signs).run_to_end()
