"""`coach history`: every session with its decision, as text or as charts; progress.toml rebuilt on request."""

import argparse
from pathlib import Path

from coach.commands.support.arguments import Commands, add_command, add_content
from coach.commands.support.loading import client_history, client_store, locked_client_store
from coach.commands.support.output import FINE, print_result


def add_commands(commands: Commands) -> None:
    """Add history."""
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
    return charts_text(history_charts(history), history.content.messages.therapist.history_charts)
