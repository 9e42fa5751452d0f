"""`coach forecast`: the client's next twelve weeks, simulated."""

import argparse
from typing import TYPE_CHECKING

from coach.commands.support.arguments import Commands, add_command, add_content, add_exercise
from coach.commands.support.exercises import chosen_exercises, print_each
from coach.commands.support.loading import plan_of_exercise, print_no_session

if TYPE_CHECKING:
    from coach.store.client_store import ClientStore


def add_commands(commands: Commands) -> None:
    """Add forecast."""
    forecast = add_command(
        commands,
        "forecast",
        _forecast,
        "Simulated clients go through the same sessions and rules as the real one; "
        "strength, soreness and missed days vary at random. The assumptions are printed. "
        "The result is a range, not a promise.",
        ("coach forecast demo_profiles/plover", "coach forecast demo_profiles/plover --seed 7"),
    )
    forecast.add_argument(
        "--seed",
        type=int,
        default=1,
        metavar="N",
        help="seed of the random numbers; the same seed gives the same result (default: 1)",
    )
    add_exercise(forecast)
    add_content(forecast)


def _forecast(arguments: argparse.Namespace) -> int:
    from coach.reports.text.forecast import forecast_text
    from coach.reports.text.layout import paragraph
    from coach.store.clock import now
    from coach.store.measured_sets.of_client import course_of

    stores, at = chosen_exercises(arguments), now().at

    def text(store: "ClientStore") -> str:
        plan = plan_of_exercise(store)
        print_no_session(plan.no_session)
        return forecast_text(plan, arguments.seed, at, measured=course_of(store))

    code = print_each(stores, text)
    if len(stores) > 1:
        print("\n".join(["", *paragraph(stores[0].content.messages.therapist.programme.forecast)]))
    return code
