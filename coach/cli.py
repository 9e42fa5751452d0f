"""The commands: each a few lines that call the rooms below. Rooms are imported where they are needed."""

import argparse
import os
import signal
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from coach.files.content import content_folder, load_content
from coach.files.diagnostic import FileFault, render
from coach.mechanics.ladder import NoLoadStep

if TYPE_CHECKING:
    from coach.files.profile_folder import ProfileFolder
    from coach.model.content_set import Content
    from coach.session.plan import Plan

FINE, FAULTS, USAGE, NOT_NOW, BROKEN = 0, 1, 2, 3, 70
_EXIT_CODES = (
    "exit codes: 0 done, 1 a file is wrong, 2 the command or the terminal does not fit, "
    "3 not now (review, or in use), 70 a fault of the program itself"
)
_LEAST_COLUMNS, _LEAST_ROWS = 60, 20


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit code. Whatever happens, a sentence and never a traceback."""
    chosen = _parser().parse_args(arguments)
    run: Callable[[argparse.Namespace], int] = chosen.run
    try:
        return run(chosen)
    except FileFault as fault:
        return _say(str(fault), FAULTS)
    except NoLoadStep as nothing:
        return _say(f"{nothing}.", FAULTS)
    except BrokenPipeError:
        # Whoever read our output has gone: point what is left of it nowhere, so that the exit is quiet too.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return FINE
    except KeyboardInterrupt:
        return 128 + signal.SIGINT
    except Exception as error:
        return _say(crash_line(error), BROKEN)


def crash_line(error: BaseException) -> str:
    """What a crash says: the kind of error and its place in the program, and nothing of the client's."""
    trace, where = error.__traceback__, "an unknown place"
    while trace is not None:
        if "coach" in Path(trace.tb_frame.f_code.co_filename).parts:
            where = f"{Path(trace.tb_frame.f_code.co_filename).name}, line {trace.tb_lineno}"
        trace = trace.tb_next
    return (
        f"A fault in the program itself: {type(error).__name__} at {where}.\n"
        "Every answer that the next screen followed is saved. Start the same command again to go on."
    )


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="coach",
        description="Steady Arc: a guided elastic-band session for the rotator cuff.",
        epilog=_EXIT_CODES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    session = _command(
        commands, "session", _session, "be led through today's session", "coach session demo_profiles/tern"
    )
    session.add_argument("profile", type=Path, metavar="PROFILE", help="the client's folder")
    preview = _command(
        commands,
        "preview",
        _preview,
        "the timed script of the next session, as text",
        "coach preview demo_profiles/heron\n  coach preview demo_profiles/heron --answers answers.toml",
    )
    preview.add_argument("profile", type=Path, metavar="PROFILE", help="the client's folder")
    preview.add_argument(
        "--answers",
        type=Path,
        metavar="FILE",
        help='what if the client answered so: format = 1, [answer] "set_2.blade" = "yes", [repetitions] 2 = 6',
    )
    history = _command(
        commands,
        "history",
        _history,
        "every session with its decision, and whether progress.toml says the same",
        "coach history demo_profiles/plover\n  coach history demo_profiles/plover --rebuild",
    )
    history.add_argument("profile", type=Path, metavar="PROFILE", help="the client's folder")
    history.add_argument("--rebuild", action="store_true", help="write progress.toml from the records")
    check = _command(
        commands,
        "check",
        _check,
        "say everything that is wrong in hand-written files, with its place",
        "coach check\n  coach check content\n  coach check demo_profiles",
    )
    check.add_argument(
        "folders",
        type=Path,
        nargs="*",
        metavar="FOLDER",
        help="content, a client's folder, or a folder of clients; without one, the program's own content",
    )
    return parser


def _command(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]",
    name: str,
    run: Callable[[argparse.Namespace], int],
    job: str,
    examples: str,
) -> argparse.ArgumentParser:
    command = commands.add_parser(
        name,
        help=job,
        description=job[0].upper() + job[1:] + ".",
        epilog=f"examples:\n  {examples}\n\n{_EXIT_CODES}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    command.set_defaults(run=run)
    return command


def _session(chosen: argparse.Namespace) -> int:
    from coach.files.profile_folder import InUse, lock

    refusal = _terminal_refuses()
    if refusal:
        return _say(refusal, USAGE)
    folder, content = _read(chosen.profile)
    try:
        with lock(folder.path):
            return _held_session(folder, content)
    except InUse as in_use:
        return _say(f"{in_use}.", NOT_NOW)
    except OSError as error:
        return _say(f"{folder.path} cannot be written: {error.strerror or error}. Nothing was begun.", FAULTS)


def _held_session(folder: "ProfileFolder", content: "Content") -> int:
    from coach.files.clock import now
    from coach.files.live_session import open_session
    from coach.model.base import fill
    from coach.screens.client.session_app import SessionApp

    opening = open_session(folder, content, now())
    progress, offer = opening.plan.before, content.words.screens.offer
    if progress.status == "review":
        reason = progress.decision.reason if progress.decision else ""
        return _say(fill(offer.review, {"reason": reason}), NOT_NOW)
    app = SessionApp(content, opening, now)
    app.run()
    if app.failed is not None:
        return _say(crash_line(app.failed), BROKEN)
    print(app.farewell)
    return app.return_code or FINE


def _preview(chosen: argparse.Namespace) -> int:
    from coach.files.clock import now
    from coach.files.toml import read_model
    from coach.model.answers import Answers
    from coach.reports.preview import preview_text, what_if_text

    plan = _plan(chosen.profile)
    if chosen.answers is None:
        print(preview_text(plan, now().at), end="")
        return FINE
    answers = read_model(chosen.answers, Answers)
    try:
        print(what_if_text(plan, answers, now().at), end="")
    except ValueError as error:
        return _say(f"{chosen.answers}: {error}", FAULTS)
    return FINE


def _history(chosen: argparse.Namespace) -> int:
    from coach.files.clock import now
    from coach.files.profile_folder import lock
    from coach.files.standing import agreement, judged, save
    from coach.model.base import fill
    from coach.reports.history import history_text

    folder, content = _read(chosen.profile)
    progress, decisions = judged(folder, content)
    print(
        history_text(folder.profile.name, decisions, agreement(folder, content), folder.saved_faults, content), end=""
    )
    if not chosen.rebuild:
        return FINE
    with lock(folder.path):
        kept = save(folder, content, progress, now())
    words = content.words.screens.history
    print(words.rebuilt)
    if kept is not None:
        print(fill(words.kept, {"kept": kept.name}))
    return FINE


def _check(chosen: argparse.Namespace) -> int:
    from coach.files.check import check_folder

    folders = chosen.folders or [content_folder()]
    faults = [fault for folder in folders for fault in check_folder(folder)]
    for fault in faults:
        print(render(fault), end="\n\n")
    looked_at = ", ".join(str(folder) for folder in folders)
    print(
        f"{looked_at}: {f'{len(faults)} faults' if len(faults) != 1 else '1 fault'}"
        if faults
        else f"{looked_at}: fine"
    )
    return FAULTS if faults else FINE


def _read(path: Path) -> "tuple[ProfileFolder, Content]":
    """A client's folder, and the content in the client's language."""
    from coach.files.profile_folder import read_profile_folder

    folder = read_profile_folder(path)
    return folder, load_content(content_folder(), folder.profile.language)


def _plan(path: Path) -> "Plan":
    from coach.files.standing import judged
    from coach.session.plan import plan_session

    folder, content = _read(path)
    progress, _ = judged(folder, content)
    return plan_session(folder.profile, folder.prescription, content, progress)


def _terminal_refuses() -> str | None:
    """Why no session can be shown here, or None where it can."""
    if not sys.stdin.isatty() or not sys.stdout.isatty():
        return "A session needs a terminal to show and to ask: run it without a pipe. As text: coach preview PROFILE"
    size = os.get_terminal_size(sys.stdout.fileno())
    if size.columns < _LEAST_COLUMNS or size.lines < _LEAST_ROWS:
        return (
            f"This terminal is {size.columns} by {size.lines}. A session needs at least {_LEAST_COLUMNS} by "
            f"{_LEAST_ROWS}: make the window larger, or the letters smaller."
        )
    return None


def _say(sentence: str, code: int) -> int:
    print(sentence, file=sys.stderr)
    return code
