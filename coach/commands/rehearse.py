"""`coach rehearse` and `coach practice`: today's session without a record, or the movement alone."""

import argparse
from pathlib import Path

from coach.commands.session import add_display_options, as_asked, report_ending
from coach.commands.support.arguments import Commands, add_command
from coach.commands.support.loading import client_store, print_no_session, read_answers
from coach.commands.support.output import FAULTS, NOT_NOW, print_error, print_opening

_SLOWEST, _FASTEST = 0.1, 10_000.0


def add_commands(commands: Commands) -> None:
    """Add rehearse and practice."""
    rehearsal = add_command(
        commands,
        "rehearse",
        _rehearse,
        "Shows the same pages as a session, at any speed, answered by hand or from a "
        "file. It can be used on any day, also while the client is in review, and goes through "
        "every exercise of a programme, also those that are not due today.",
        (
            "coach rehearse demo_profiles/tern --speed 10",
            "coach rehearse demo_profiles/tern --speed 1000 --plain \\\n      --answers demo_profiles/answers.toml",
        ),
    )
    rehearsal.add_argument(
        "--speed", type=_speed, default=1.0, metavar="N", help="how many times faster than a session (default: 1)"
    )
    rehearsal.add_argument(
        "--answers", type=Path, metavar="FILE", help="read the answers from a file (format: see coach preview --help)"
    )
    add_display_options(rehearsal)
    practice = add_command(
        commands,
        "practice",
        _practice,
        "Leads the movement of the programme at its tempo, without the band. Nothing is recorded and nothing is "
        "decided. Where no session may start, there is no practice either.",
        ("coach practice demo_profiles/tern",),
    )
    add_display_options(practice)


def _rehearse(arguments: argparse.Namespace) -> int:
    print_opening(arguments.plain)
    from coach.screens.start import choose_display, run_session
    from coach.session.rehearsal import rehearse
    from coach.store.clock import now
    from coach.store.programme.opening import open_rehearsal

    store = client_store(arguments.profile)
    print_no_session(store.admission(now().at).sentence)
    opening, answers = open_rehearsal(store, arguments.speed), read_answers(arguments.answers)
    if answers is not None:
        try:
            rehearse(opening.plan, answers, now().at)
        except ValueError as error:
            return print_error(f"{arguments.answers}: {error}", FAULTS)
    mode = choose_display(arguments.plain, arguments.speed, interactive=answers is None)
    mode = as_asked(mode, arguments)
    return report_ending(run_session(store.content, opening, mode, answers))


def _practice(arguments: argparse.Namespace) -> int:
    print_opening(arguments.plain)
    from msgspec.structs import replace

    from coach.screens.start import choose_display, run_session
    from coach.store.clock import now
    from coach.store.programme.opening import open_practice

    store = client_store(arguments.profile)
    admission = store.admission(now().at)
    if not admission.may_start:
        return print_error(admission.sentence, NOT_NOW)
    mode = replace(choose_display(arguments.plain), silent=arguments.silent, theme=arguments.theme)
    return report_ending(run_session(store.content, open_practice(store), mode))


def _speed(text: str) -> float:
    from coach.toml.expected import Expected
    from coach.toml.typed_values import Unclear, read_typed

    speed = read_typed(text, Expected(float, {"ge": _SLOWEST, "le": _FASTEST}))
    if isinstance(speed, Unclear) and speed.what:
        raise argparse.ArgumentTypeError(f"{speed.what}: {speed.fix}")
    if not isinstance(speed, int | float) or not _SLOWEST <= speed <= _FASTEST:
        raise argparse.ArgumentTypeError(f"{text} is not a speed: use a number from {_SLOWEST:g} to {_FASTEST:g}")
    return speed
