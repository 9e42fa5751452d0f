"""`coach session`: today's session of a client."""

import argparse
from typing import TYPE_CHECKING

from coach.commands.support.arguments import Commands, add_command, add_content, add_signs, add_theme
from coach.commands.support.loading import (
    locked_client_store,
    report_notices,
)
from coach.commands.support.output import CUT_OFF, FAULTS, NOT_NOW, print_error, print_opening, print_wrapped

if TYPE_CHECKING:
    from datetime import date

    from coach.screens.plain.line_input import LineSource
    from coach.screens.start import DisplayMode, SessionOutcome
    from coach.store.client_store import ClientStore

_MINUTE = "%Y-%m-%d %H:%M"


def add_commands(commands: Commands) -> None:
    """Add session."""
    session = add_command(
        commands,
        "session",
        run_todays_session,
        "Asks how the shoulder is, shows where to fix the band and where to stand, checks "
        "band and anchor, keeps the tempo, asks about form after each set, and ends with "
        "the decision for next time and the reason for it. One key answers a question; "
        "p reports pain or a problem, the space bar pauses, q ends the session, ? shows all "
        "keys. An answer that would end the session is confirmed first. Every "
        "answer is saved at once: if the program is closed or the power fails, the next "
        "start continues where it stopped. If the clock is set before the last session, "
        "no session starts and both times are shown.",
        ("coach session demo_profiles/tern", "coach session demo_profiles/tern --plain"),
    )
    add_display_options(session)


def add_display_options(command: argparse.ArgumentParser) -> None:
    """Add the options of how a session is shown."""
    command.add_argument(
        "--plain", action="store_true", help="show it line by line, for a screen reader, a pipe or a small terminal"
    )
    command.add_argument("--silent", action="store_true", help="play no tones, speak no words and ring no bell")
    add_theme(command)
    add_signs(command)
    add_content(command)


def as_asked(mode: "DisplayMode", arguments: argparse.Namespace) -> "DisplayMode":
    """The display with the options of `add_display_options`."""
    from msgspec.structs import replace

    return replace(mode, silent=arguments.silent, theme=arguments.theme, signs=arguments.signs)


def run_todays_session(arguments: argparse.Namespace) -> int:
    """Run today's session of a client, with the options of `add_display_options`.

    Where something is in the way, what is known of a stop is said first.
    """
    print_opening(arguments.plain)
    try:
        return _run(arguments)
    except Exception as error:
        from coach.commands.home.known_stop import say_before

        say_before(error, arguments.profile)
        raise


def _run(arguments: argparse.Namespace) -> int:
    from coach.screens.start import choose_display
    from coach.store.client_folder import require_profile

    require_profile(arguments.profile)
    mode = as_asked(choose_display(arguments.plain), arguments)
    with locked_client_store(arguments.profile) as store:
        return _locked_session(store, mode)


def _locked_session(store: "ClientStore", mode: "DisplayMode") -> int:
    from coach.screens.start import run_session
    from coach.store.clock import now
    from coach.store.live_session import open_session
    from coach.store.programme.opening import admission_of_programme

    programme = store.folder.prescribed.programme
    if store.folder.conflicting_copies or store.latest_date_after(now().at) is not None:
        from coach.commands.home.known_stop import say_of

        say_of(store)
    if programme is not None:
        store = _with_date_confirmed(store, mode)
        admission = admission_of_programme(store, now().at)
    else:
        admission = store.admission(now().at, store.progress_before_open_record)
    if admission.plan is None or admission.obstacle in ("clock", "copies"):
        return print_error(admission.sentence, FAULTS if admission.obstacle == "load" else NOT_NOW)
    report_notices(store)
    opening = open_session(store, now())
    admission = opening.store.admission(now().at, opening.plan.before)
    if not admission.may_start:
        return print_error(admission.sentence, NOT_NOW)
    outcome = run_session(store.content, opening, mode)
    code = report_ending(outcome)
    if outcome.plan:
        keep_own_plan(store, write=outcome.plan == "write", today=now().at.date(), source=mode.source)
    return code


def _with_date_confirmed(store: "ClientStore", mode: "DisplayMode") -> "ClientStore":
    """The client with today's date confirmed, where the newest session is dated later and a person says so."""
    from msgspec.structs import replace

    from coach.model.message_format import fill
    from coach.screens.terminal import is_terminal
    from coach.store.clock import now

    today = now().at
    dated = store.latest_date_after(today)
    if dated is None or not is_terminal():
        return store
    from coach.screens.plain.line_input import ask_line

    messages = store.content.messages.client
    values = {"now": today.strftime(_MINUTE), "last": dated.strftime(_MINUTE), "date": today.date().isoformat()}
    print_wrapped(fill(messages.offer.confirm_date, {**values, "weekday": messages.end.weekday[today.weekday()]}))
    try:
        said = ask_line(mode.source, "> ").strip().casefold()
    except EOFError:
        said = ""
    return replace(store, date_confirmed=said in ("y", messages.scale.yes_key, messages.scale.yes.casefold()))


def keep_own_plan(store: "ClientStore", write: bool, today: "date", source: "LineSource | None" = None) -> None:
    """Keep the client's own plan as of today; `write`: ask when and where the next sessions will be first.

    `source` is where the lines of the session came from, None where it was on screens.
    """
    from functools import partial

    from coach.commands.support.ask_plan import ask_plan
    from coach.model.message_format import fill
    from coach.screens.plain.line_input import ask_line
    from coach.store.plan_file import read_plan, write_plan

    messages = store.content.messages.client.plan
    plan = read_plan(store.path, store.profile)
    if write:
        plan = ask_plan(store.content, plan, partial(ask_line, source))
    if plan is None:
        return
    try:
        write_plan(store.path, plan.model_copy(update={"on": today}))
    except OSError as error:
        print_error(fill(messages.not_saved, {"reason": str(error)}), FAULTS)
        return
    print(messages.saved if write else messages.kept)


def report_ending(outcome: "SessionOutcome") -> int:
    """Print how a session ended; returns the exit code. That something is not saved comes before how it ended."""
    if outcome.farewell:
        print_wrapped(outcome.farewell)
    if outcome.unsaved:
        return FAULTS
    return CUT_OFF if outcome.cut_off else outcome.code
