"""What the therapist runs to see the client's next session before the client does: on screen, as text, as JSON."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.arguments import add_theme, declare
from coach.commands.support.loading import answers_in, plan_of
from coach.commands.support.output import FAULTS, FINE, say
from coach.model.theme_name import ThemeName

if TYPE_CHECKING:
    from coach.model.answers_file import Answers
    from coach.session.plan import Plan


def declare_all(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """preview."""
    preview = declare(
        commands,
        "preview",
        _preview,
        "the next session as the client will see it, and what if",
        "Page by page in the terminal: the keys that the client would press say what\n"
        "if, and c puts the session after it beside today's. An answers file holds\n"
        'format = 1, [answer] "set_2.blade" = "yes", [repetitions] 3 = 7, and the like;\n'
        "what it does not name is clean and without pain.",
        (
            "coach preview demo_profiles/heron",
            "coach preview demo_profiles/heron --text --answers demo_profiles/answers.toml",
            "coach preview demo_profiles/heron --decisions",
        ),
    )
    preview.add_argument(
        "--text", action="store_true", help="its timed script; so it is as well where there is no terminal"
    )
    preview.add_argument("--json", action="store_true", help="its timed script as JSON, for other programs")
    preview.add_argument("--decisions", action="store_true", help="what each kind of session would lead to next")
    preview.add_argument(
        "--answers",
        type=Path,
        metavar="FILE",
        help="what if the client answered so",
    )
    add_theme(preview, "dusk")


def _preview(chosen: argparse.Namespace) -> int:
    from coach.screens.terminal import shows_screens

    plan, answers = plan_of(chosen.profile), answers_in(chosen.answers)
    try:
        if not (chosen.text or chosen.json or chosen.decisions) and shows_screens():
            return _on_screen(plan, answers, chosen.theme)
        print(_as_text(plan, answers, chosen), end="")
    except ValueError as error:
        if answers is None:
            raise
        return say(f"{chosen.answers}: {error}", FAULTS)
    return FINE


def _as_text(plan: "Plan", answers: "Answers | None", chosen: argparse.Namespace) -> str:
    from coach.store.clock import now

    at = now().at
    if chosen.decisions:
        from coach.reports.text.decision_table import decision_table_text

        return decision_table_text(plan, at)
    if chosen.json:
        from coach.reports.tables.preview_json import preview_json

        return preview_json(plan, at, answers)
    if answers is not None:
        from coach.reports.text.what_if import what_if_text

        return what_if_text(plan, answers, at)
    from coach.reports.text.preview import preview_text

    return preview_text(plan, at)


def _on_screen(plan: "Plan", answers: "Answers | None", theme: ThemeName) -> int:
    from coach.commands.support.report_factories import PREVIEWS
    from coach.screens.therapist.preview_screen import PreviewScreen
    from coach.screens.therapist.therapist_app import TherapistApp
    from coach.store.clock import now

    return TherapistApp(PreviewScreen(plan, now().at, PREVIEWS, answers), theme).go()
