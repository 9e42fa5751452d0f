"""`coach changed`: what an edit of the content changes, and for which clients."""

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.arguments import Commands, add_command
from coach.commands.support.coach_content import coach_messages, profile_and_prescription
from coach.commands.support.exercises import named_title_of
from coach.commands.support.output import FINE, exit_code_of

if TYPE_CHECKING:
    from coach.overview.comparison import ComparisonPart
    from coach.reports.text.changed import ClientComparison
    from coach.store.client_store import ClientStore


def add_commands(commands: Commands) -> None:
    """Add changed."""
    changed = add_command(
        commands,
        "changed",
        _changed,
        "Compares two content folders as the client reads them: script by script, then "
        "line by line. Copy the folder before you edit it.",
        (
            "cp -r content content.before",
            "coach changed content.before content",
            "coach changed content.before content --clients demo_profiles",
        ),
        client=False,
    )
    changed.add_argument("before", type=Path, metavar="BEFORE", help="the content folder before the edit")
    changed.add_argument("after", type=Path, metavar="AFTER", help="the content folder after the edit")
    changed.add_argument(
        "--clients",
        type=Path,
        metavar="FOLDER",
        help="also list what changes for each client in a folder, or show it in full for one client",
    )


def _changed(arguments: argparse.Namespace) -> int:
    from coach.content_files.content_folder import languages, load_content
    from coach.reports.text.changed import StandIn, changed_text, client_comparisons_text, content_parts
    from coach.store.clock import now

    messages, at, stand_in = coach_messages().changed, now().at, StandIn(*profile_and_prescription(None))
    # Without a common language, loading "en" fails with a message that lists the languages.
    common = [one for one in languages(arguments.before) if one in languages(arguments.after)] or ["en"]
    before, after = ([load_content(folder, one) for one in common] for folder in (arguments.before, arguments.after))
    parts = content_parts(before, after, stand_in, messages, at)
    print(changed_text(parts, messages), end="")
    if arguments.clients is not None:
        print(client_comparisons_text(_effects_on_clients(arguments), messages), end="")
    return FINE


def _effects_on_clients(arguments: argparse.Namespace) -> "tuple[ClientComparison, ...]":
    """What changes for each client of a folder, or for a single client."""
    from coach.store.client_folder import require_profile
    from coach.store.client_paths import clients_in, is_client

    require_profile(arguments.clients)
    folder = arguments.clients
    clients = [folder] if is_client(folder) else [folder / name for name in clients_in(folder)]
    return tuple(_effect_on_client(client, arguments) for client in clients)


def _effect_on_client(path: Path, arguments: argparse.Namespace) -> "ClientComparison":
    from coach.content_files.content_folder import load_content
    from coach.reports.text.changed import ClientComparison
    from coach.store.client_folder import read_client_folder
    from coach.store.client_paths import clinic_of
    from coach.store.client_store import ClientStore

    try:
        folder = read_client_folder(path)
        language = folder.profile.language
        contents = [load_content(one, language, clinic_of(path)) for one in (arguments.before, arguments.after)]
        for name in folder.prescribed.names:
            for content in contents:
                content.exercise(folder.prescribed.of(name).exercise)
        parts = [part for one in zip(*(ClientStore(folder, each).exercises for each in contents), strict=True)
                 for part in _effect_on_exercise(*one)]  # fmt: skip
    except Exception as error:
        if exit_code_of(error) is None:
            raise
        return ClientComparison(path.name, why_not=str(error).split("\n")[0])
    return ClientComparison(path.name, tuple(parts))


def _effect_on_exercise(before: "ClientStore", after: "ClientStore") -> "Iterator[ComparisonPart]":
    """What changes in one exercise of a client; where there are several, each part says which."""
    from msgspec.structs import replace

    from coach.reports.text.changed import entries_for
    from coach.reports.text.next_session import compare_next_sessions, next_session
    from coach.store.clock import now

    at, title = now().at, named_title_of(after)
    sessions = [next_session(one.profile, one.prescription, one.progress, one.content, at) for one in (before, after)]
    compared = compare_next_sessions(sessions[0], sessions[1], after.content.messages.therapist.steering)
    entries = entries_for(before.content, after.content, after.prescription, coach_messages().changed)
    for part in (*compared, *entries):
        yield replace(part, title=f"{title}: {part.title}") if title else part
