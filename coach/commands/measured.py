"""`coach measured`: sets that a sensor on the forearm recorded, shown, and kept beside the session if confirmed."""

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.arguments import Commands, add_command, add_exercise
from coach.commands.support.exercises import chosen_exercises, heading_of
from coach.commands.support.output import FINE, NOT_NOW, USAGE, print_error, print_result, says_yes

if TYPE_CHECKING:
    from coach.commands.support.measured_session import TableOfSession
    from coach.model.messages.measured import MeasuredMessages
    from coach.store.client_store import ClientStore

_NEEDS = ("numpy", "scipy", "vqf")
_COLUMNS, _UNITS = 7, 3


def add_commands(commands: Commands) -> None:
    """Add measured."""
    measured = add_command(
        commands,
        "measured",
        _measured,
        "The table is text with a row for each moment: a column of time, three of acceleration with gravity in it, "
        "and three of turning rate; 20 to 500 rows a second. Strap a phone or a watch firmly to the forearm, any "
        "way round, keep still for two seconds, do one repetition without the band, rest, then the set. What is "
        "found is shown before anything is kept. It is put beside the answers and never raises a load. Needs the "
        "extra [motion].",
        (
            "coach measured demo_profiles/heron demo_profiles/forearm.csv --set 1",
            "coach measured demo_profiles/heron demo_profiles/forearm.csv --set 2 --yes",
        ),
    )
    measured.add_argument("file", type=Path, metavar="FILE", help="the table, as CSV or text")
    measured.add_argument(
        "--session", metavar="WHEN", help="the day of the session, and its time if needed (default: the newest)"
    )
    measured.add_argument(
        "--set",
        type=int,
        metavar="N",
        help="which set of the session the first set in the table is (default: by time)",
    )
    add_exercise(measured)
    measured.add_argument(
        "--columns",
        type=_listed,
        default=(),
        metavar="LIST",
        help="names or numbers of seven columns, with commas: time, acceleration x, y, z, turning rate x, y, z",
    )
    measured.add_argument(
        "--units",
        type=_listed,
        default=(),
        metavar="LIST",
        help="units of time (s, ms, us, ns), acceleration (g, mg, m/s2) and turning rate (deg/s, rad/s): s,g,deg/s",
    )
    measured.add_argument("--yes", action="store_true", help="keep what is found without asking")


def _listed(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(","))


def _measured(arguments: argparse.Namespace) -> int:
    refusal = _missing_libraries() or _wrong_lists(arguments)
    if refusal:
        return print_error(refusal, USAGE)
    from coach.commands.support.measured_session import read_table_of_session
    from coach.reports.text.measured_sets.measured_text import measured_text

    stores = chosen_exercises(arguments)
    table = read_table_of_session(stores, arguments, lambda firsts: _first_set(firsts, stores[0], arguments))
    store = table.exercise
    messages = store.content.messages
    for line in heading_of(store)[1:]:
        print(line)
    print(measured_text(store.profile.name, table.read, table.sets, table.charts, store.content), flush=True)
    for number, beside in enumerate(table.sets):
        if beside.client_sentence() not in [earlier.client_sentence() for earlier in table.sets[:number]]:
            print_result(beside.client_sentence())
    return _keep(arguments, table, messages.therapist.measured, messages.client.scale.yes_key)


def _keep(arguments: argparse.Namespace, table: "TableOfSession", messages: "MeasuredMessages", yes_key: str) -> int:
    """Keep the sets if the user agrees."""
    from coach.model.message_format import fill
    from coach.store.lock import lock
    from coach.store.measured_sets.measured_files import keep_measured

    if not arguments.yes:
        if sys.stdin is None or not sys.stdin.isatty():
            return print_error(messages.needs_yes, NOT_NOW)
        if not _agrees(messages.ask, yes_key):
            return print_error(messages.not_kept, NOT_NOW)
    with lock(arguments.profile):
        for path in keep_measured(arguments.profile, [beside.one for beside in table.sets]):
            print_result(fill(messages.kept, {"file": path}))
    return FINE


def _first_set(firsts: "Sequence[int]", store: "ClientStore", arguments: argparse.Namespace) -> int | None:
    """Which set the first one in the table is, typed at the terminal; None where nobody can be asked."""
    if arguments.yes or sys.stdin is None or not sys.stdin.isatty():
        return None
    from coach.model.message_format import fill

    question = fill(store.content.messages.therapist.measured.which, {"numbers": ", ".join(map(str, firsts))})
    for _ in range(_MOST_ASKED):
        try:
            typed = input(f"{question} ").strip()
        except EOFError:
            print()
            return None
        if typed.isdecimal() and int(typed) in firsts:
            return int(typed)
    return None


_MOST_ASKED = 3


def _agrees(question: str, yes_key: str) -> bool:
    """Whether a person says yes, in English or in the client's language; a doubled key says it too."""
    try:
        return says_yes(input(f"{question} "), yes_key)
    except EOFError:
        print()
        return False


def _missing_libraries() -> str | None:
    from importlib.util import find_spec

    missing = [name for name in _NEEDS if find_spec(name) is None]
    if not missing:
        return None
    return f'this command needs {", ".join(missing)}. Install them with: pip install "steady-arc[motion]"'


def _wrong_lists(arguments: argparse.Namespace) -> str | None:
    """What is wrong with --columns or --units."""
    from coach.motion_capture.columns import unit_named
    from coach.motion_capture.units import QUANTITIES

    columns: Sequence[str] = arguments.columns
    units: Sequence[str] = arguments.units
    if columns and len(columns) != _COLUMNS:
        return f"--columns names {len(columns)} columns; name seven: time, acceleration x, y, z, turning rate x, y, z"
    if units and len(units) != _UNITS:
        return f"--units names {len(units)} units; name three: of time, acceleration and turning rate, as s,g,deg/s"
    for unit, quantity in zip(units, QUANTITIES, strict=False):
        if unit_named(unit) not in quantity.units:
            return f"{unit} is no unit of {quantity.name}; use one of {', '.join(quantity.units)}"
    if arguments.set is not None and arguments.set < 1:
        return f"--set {arguments.set}: sets are counted from 1"
    return None
