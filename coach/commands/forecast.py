"""`coach forecast`: the client's next twelve weeks, simulated."""

import argparse

from coach.commands.support.arguments import Commands, add_command, add_content
from coach.commands.support.loading import plan_of, print_no_session
from coach.commands.support.output import FINE


def add_commands(commands: Commands) -> None:
    """Add forecast."""
    forecast = add_command(
        commands,
        "forecast",
        _forecast,
        "simulate the client's next twelve weeks",
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
    add_content(forecast)


def _forecast(arguments: argparse.Namespace) -> int:
    from coach.reports.text.forecast import forecast_text
    from coach.store.clock import now

    plan = plan_of(arguments.profile)
    print_no_session(plan.no_session)
    print(forecast_text(plan, arguments.seed, now().at), end="")
    return FINE
