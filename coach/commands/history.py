"""`coach history` for the therapist and `coach progress` for the client: what was done, as text and as curves."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.arguments import Commands, add_command, add_content, add_exercise
from coach.commands.support.exercises import chosen_exercises, exercises_of, print_each
from coach.commands.support.loading import history_of_exercise, locked_client_store
from coach.commands.support.output import FINE, NOT_NOW, print_error, print_result, write_file

if TYPE_CHECKING:
    from coach.store.client_store import ClientStore


def add_commands(commands: Commands) -> None:
    """Add history and progress."""
    history = add_command(
        commands,
        "history",
        _history,
        "For each decision: the rule, its numbers and source, and what would have changed "
        "it. At the end: whether progress.toml agrees with the records.",
        (
            "coach history demo_profiles/plover",
            "coach history demo_profiles/plover --pictures",
            "coach history demo_profiles/plover --rebuild",
        ),
    )
    history.add_argument(
        "--pictures",
        action="store_true",
        help="draw charts instead: load, repetitions, pain, faults, range, training days and activities over time; "
        "changes within the measurement error are marked",
    )
    history.add_argument(
        "--rebuild",
        action="store_true",
        help="also rewrite progress.toml from the records; if the old file differs, a copy of it is kept",
    )
    add_exercise(history)
    add_content(history)
    progress = add_command(
        commands,
        "progress",
        _progress,
        "In the client's language: the sessions as a dated list and curves, and what can be done now that could not "
        "before. With --calendar: the sessions of the next four weeks as an iCalendar file, on the client's days.",
        (
            "coach progress demo_profiles/plover",
            "coach progress demo_profiles/tern --calendar tern.ics",
        ),
    )
    progress.add_argument("--calendar", type=Path, metavar="FILE.ics", help="the new calendar file to write")
    add_exercise(progress)


def _history(arguments: argparse.Namespace) -> int:
    from coach.model.message_format import fill
    from coach.reports.text.history import client_history_text
    from coach.store.clock import now

    if arguments.pictures:
        return print_each(chosen_exercises(arguments), _charts_text)
    if not arguments.rebuild:
        return print_each(chosen_exercises(arguments), client_history_text)
    with locked_client_store(arguments.profile) as store:
        print_each(exercises_of(store, arguments.exercise), client_history_text)
        kept = store.rebuild(now().at)
    messages = store.content.messages.therapist.history
    print(messages.rebuilt)
    if kept is not None:
        print_result(fill(messages.kept, {"kept": kept.name}))
    return FINE


def _charts_text(store: "ClientStore") -> str:
    from coach.overview.history_charts import history_charts
    from coach.reports.text.history_plots import charts_text

    history = history_of_exercise(store)
    return charts_text(history_charts(history), history.messages, history.profile.name)


def _progress(arguments: argparse.Namespace) -> int:
    from coach.reports.text.progress_view import progress_text
    from coach.store.clock import now
    from coach.store.plan_file import read_plan

    stores, at = chosen_exercises(arguments), now().at
    if arguments.calendar is not None:
        return _calendar(arguments.profile, arguments.calendar, stores)
    plan, newest = read_plan(stores[0].path, stores[0].profile), stores[-1]
    # What belongs to the client stands once, with the last exercise.
    return print_each(
        stores,
        lambda store: progress_text(
            history_of_exercise(store), plan if store is newest else None, store.admission(at).sentence
        ),
        with_name=False,
    )


def _calendar(profile: Path, to: Path, stores: "tuple[ClientStore, ...]") -> int:
    from coach.commands.support.todays_session import minutes_of
    from coach.reports.tables.session_calendar import session_calendar
    from coach.store.clock import now
    from coach.store.plan_file import read_plan
    from coach.store.programme.days_trained import days_trained
    from coach.store.programme.opening import due_days_of
    from coach.toml.new_file import refuse_existing

    refuse_existing(to)
    at, first = now().at, stores[0]
    each = [store.admission(at) for store in stores]
    if not any(one.may_start for one in each):  # no entry promises what the session would refuse
        return print_error(each[0].sentence, NOT_NOW)
    own, content = read_plan(profile, first.profile), first.content
    trained_on, minutes = days_trained(first.folder), minutes_of(stores, at)
    written = session_calendar(
        first.profile.name,
        own,
        due_days_of(stores),
        minutes,
        content,
        at,
        trained_on,
        first.folder.prescribed.programme if len(stores) > 1 else None,
    )
    return write_file(to, written, content.messages.client.plan.written)
