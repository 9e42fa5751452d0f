"""`coach setup`: the setup of the client's load step, as text, as JSON or as a drawing."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.arguments import Commands, add_command, add_content, add_exercise
from coach.commands.support.exercises import chosen_exercises, has_several, print_each, the_one_exercise
from coach.commands.support.loading import plan_of_exercise, print_no_session
from coach.commands.support.output import FINE, write_file

if TYPE_CHECKING:
    from coach.session.plan import Plan
    from coach.store.client_store import ClientStore


def add_commands(commands: Commands) -> None:
    """Add setup."""
    setup = add_command(
        commands,
        "setup",
        _setup,
        "For the current load step: band, distance, anchor height, body turn and the "
        "torque through the arc; the effect of a wrong distance, height or turn; other "
        "places for the anchor at home; the neighbouring load steps; both drawings.",
        (
            "coach setup demo_profiles/tern",
            "coach setup demo_profiles/heron --position 45 --ladder",
            "coach setup demo_profiles/tern --drawing tern.svg",
            "coach setup demo_profiles/curlew --exercise outward_left",
        ),
    )
    setup.add_argument("--position", metavar="NAME", help="another arm position, at its lowest step")
    setup.add_argument("--ladder", action="store_true", help="list every load step, not only the neighbours")
    form = setup.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="print every number needed to repeat the computation")
    form.add_argument(
        "--drawing", type=Path, metavar="FILE.svg", help="write both drawings, to scale, to a new SVG file"
    )
    add_exercise(setup)
    add_content(setup)


def _setup(arguments: argparse.Namespace) -> int:
    stores = chosen_exercises(arguments)
    if arguments.position is not None:
        stores = (the_one_exercise(stores, "a position"),)
    if arguments.drawing is not None:
        return _write_drawing(_plan(the_one_exercise(stores, "a drawing"), arguments), arguments.drawing)
    if arguments.json:
        from coach.reports.tables.setup_json import setup_json, setups_json

        plans = [_plan(store, arguments) for store in stores]
        print(setups_json(plans) if has_several(stores[0]) else setup_json(plans[0]))
        return FINE
    from coach.reports.text.setup import setup_text

    return print_each(stores, lambda store: setup_text(_plan(store, arguments), whole=arguments.ladder))


def _plan(store: "ClientStore", arguments: argparse.Namespace) -> "Plan":
    """The next session of an exercise; why none may start now is said on standard error."""
    plan = plan_of_exercise(store, arguments.position)
    print_no_session(plan.no_session)
    return plan


def _write_drawing(plan: "Plan", path: Path) -> int:
    """Write both drawings to a new file."""
    from coach.reports.pdf.setup_drawing import setup_svg

    return write_file(path, setup_svg(plan).encode(), plan.content.messages.therapist.setup_report.drawn)
