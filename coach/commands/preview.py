"""`coach preview`: the next session as the client will see it, on screen, as text or as JSON."""

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.arguments import (
    Commands,
    add_command,
    add_content,
    add_exercise,
    add_signs,
    add_theme,
)
from coach.commands.support.exercises import exercises_of, has_several, print_each
from coach.commands.support.loading import client_store, plan_of_exercise, print_no_session, read_answers
from coach.commands.support.output import FAULTS, FINE, print_error
from coach.commands.support.todays_session import session_of, todays_session

if TYPE_CHECKING:
    from coach.model.answers_file import Answers
    from coach.session.plan import Plan
    from coach.store.client_store import ClientStore


def add_commands(commands: Commands) -> None:
    """Add preview."""
    preview = add_command(
        commands,
        "preview",
        _preview,
        "Page by page in the terminal. The keys that the client would press try out "
        "answers; c compares the session after that with today's. An answers file starts "
        'with format = 1; [answer] has lines such as "set_2.blade" = "yes", [repetitions]\n'
        "such as 3 = 7. Answers that are left out are clean and without pain.",
        (
            "coach preview demo_profiles/heron",
            "coach preview demo_profiles/heron --text --answers demo_profiles/answers.toml",
            "coach preview demo_profiles/heron --decisions",
            "coach preview demo_profiles/curlew --text",
            "coach preview demo_profiles/curlew --text --exercise outward_left",
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
    add_exercise(preview)
    add_theme(preview, "dusk")
    add_signs(preview, "auto")
    add_content(preview)


def _preview(arguments: argparse.Namespace) -> int:
    from coach.screens.terminal import shows_screens

    store, answers = client_store(arguments.profile), read_answers(arguments.answers)
    stores = exercises_of(store, arguments.exercise)
    for name in answers.exercise if answers is not None else ():
        exercises_of(store, name)
    try:
        if not (arguments.text or arguments.json or arguments.decisions) and shows_screens():
            return _on_screen(store, stores, answers, arguments)
        if arguments.decisions:
            return print_each(stores, _decisions)
        if len(stores) > 1 or (arguments.json and has_several(store)):
            print(_session_as_text(store, stores, answers, arguments), end="")
            return FINE
        return print_each(stores, lambda one: _as_text(plan_of_exercise(one), answers, arguments))
    except ValueError as error:
        if answers is None:
            raise
        return print_error(f"{arguments.answers}: {error}", FAULTS)


def _decisions(store: "ClientStore") -> str:
    from coach.reports.text.decision_table import decision_table_text
    from coach.store.clock import now

    plan = plan_of_exercise(store)
    print_no_session(plan.no_session)
    return decision_table_text(plan, now().at)


def _as_text(plan: "Plan", answers: "Answers | None", arguments: argparse.Namespace) -> str:
    """The session of one exercise."""
    from coach.store.clock import now

    at = now().at
    if arguments.json:
        from coach.reports.tables.preview_json import preview_json

        return preview_json(plan, at, answers)
    if answers is not None:
        from coach.reports.text.next_session import what_if_text

        return what_if_text(plan, answers, at)
    from coach.reports.text.preview import preview_text

    return preview_text(plan, at)


def _session_as_text(
    store: "ClientStore", stores: "Sequence[ClientStore]", answers: "Answers | None", arguments: argparse.Namespace
) -> str:
    """The session of a programme: of all exercises that are due, or as JSON also of the one that is asked for."""
    from coach.store.clock import now

    at = now().at
    today = todays_session(store, at) if len(stores) > 1 else session_of(stores[0])
    if arguments.json:
        from coach.reports.tables.session_preview_json import session_preview_json

        return session_preview_json(today, at, answers)
    from coach.reports.text.programme.session_preview import session_preview_text, session_what_if_text

    return session_preview_text(today, at) if answers is None else session_what_if_text(today, answers, at)


def _on_screen(
    store: "ClientStore", stores: "Sequence[ClientStore]", answers: "Answers | None", arguments: argparse.Namespace
) -> int:
    from coach.commands.support.report_factories import PREVIEW_REPORTS
    from coach.screens.therapist.preview_screen import PreviewScreen
    from coach.screens.therapist.therapist_app import TherapistApp
    from coach.store.clock import now

    at = now().at
    plans = todays_session(store, at).plans if len(stores) > 1 else (plan_of_exercise(stores[0]),)
    first = PreviewScreen(plans, at, PREVIEW_REPORTS, answers)
    return TherapistApp(first, arguments.theme, arguments.signs).run_to_end()
