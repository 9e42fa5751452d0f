"""`coach history` for the therapist and `coach progress` for the client: what was done, as text and as curves."""

import argparse
from pathlib import Path

from coach.commands.support.arguments import Commands, add_command, add_content
from coach.commands.support.loading import client_history, client_store, locked_client_store, plan_of
from coach.commands.support.output import FINE, print_result, write_file


def add_commands(commands: Commands) -> None:
    """Add history and progress."""
    history = add_command(
        commands,
        "history",
        _history,
        "list every session with its decision and the reason",
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
    add_content(history)
    progress = add_command(
        commands,
        "progress",
        _progress,
        "show the client what was done and what has changed",
        "In the client's language: the sessions as a dated list and curves, and what can be done now that could not "
        "before. With --calendar: the sessions of the next four weeks as an iCalendar file, on the client's days.",
        (
            "coach progress demo_profiles/plover",
            "coach progress demo_profiles/tern --calendar tern.ics",
        ),
    )
    progress.add_argument("--calendar", type=Path, metavar="FILE.ics", help="the new calendar file to write")


def _history(arguments: argparse.Namespace) -> int:
    from coach.model.message_format import fill
    from coach.reports.text.history import client_history_text
    from coach.store.clock import now

    if arguments.pictures:
        print(_charts_text(arguments.profile), end="")
        return FINE
    if not arguments.rebuild:
        print(client_history_text(client_store(arguments.profile)), end="")
        return FINE
    with locked_client_store(arguments.profile) as store:
        print(client_history_text(store), end="")
        kept = store.rebuild(now().at)
    messages = store.content.messages.therapist.history
    print(messages.rebuilt)
    if kept is not None:
        print_result(fill(messages.kept, {"kept": kept.name}))
    return FINE


def _charts_text(path: Path) -> str:
    from coach.overview.history_charts import history_charts
    from coach.reports.text.history_plots import charts_text

    history = client_history(path)
    return charts_text(history_charts(history), history.messages, history.profile.name)


def _progress(arguments: argparse.Namespace) -> int:
    from coach.reports.text.progress_view import progress_text
    from coach.store.plan_file import read_plan

    if arguments.calendar is not None:
        return _calendar(arguments.profile, arguments.calendar)
    store = client_store(arguments.profile)
    plan = read_plan(store.path, store.profile)
    print(progress_text(client_history(arguments.profile), plan), end="")
    return FINE


def _calendar(profile: Path, to: Path) -> int:
    from coach.reports.tables.session_calendar import session_calendar
    from coach.session.plan import open_record, script_of
    from coach.store.clock import now
    from coach.store.plan_file import read_plan
    from coach.toml.new_file import refuse_existing

    refuse_existing(to)
    plan, at = plan_of(profile), now().at
    minutes = round(script_of(plan, open_record(plan, at)).seconds / 60)
    own = read_plan(profile, plan.profile)
    days = plan.prescription.dose.days_a_week
    content = plan.content
    written = session_calendar(plan.profile.name, own, days, minutes, content, at)
    return write_file(to, written, content.messages.client.plan.written)
