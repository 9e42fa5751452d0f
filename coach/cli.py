"""The commands: each a few lines that call the rooms below. Rooms are imported where they are needed."""

import argparse
import os
import signal
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, get_args

from coach.files.content import content_folder, load_content
from coach.files.diagnostic import FileFault, render
from coach.files.lock import InUse
from coach.mechanics.anchor import ImpossibleAnchor
from coach.mechanics.ladder import NoLoadStep
from coach.mechanics.load import NoArc
from coach.model.exercise import NoPosition
from coach.model.profile import ThemeName
from coach.screens.not_here import NotHere

if TYPE_CHECKING:
    from coach.files.profile_folder import ProfileFolder
    from coach.model.answers import Answers
    from coach.model.content_set import Content
    from coach.screens.start import Ending, Way
    from coach.session.plan import Plan

FINE, FAULTS, USAGE, NOT_NOW, CUT_OFF, BROKEN = 0, 1, 2, 3, 4, 70
_EXIT_CODES = (
    "exit codes: 0 done, 1 a file is wrong, 2 the command or the terminal does not fit, "
    "3 not now (review, or in use), 4 the input ended before the session, 70 a fault of the program itself"
)
_SLOWEST, _FASTEST = 0.1, 10_000.0


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit code. Whatever happens, a sentence and never a traceback."""
    chosen = _parser().parse_args(arguments)
    run: Callable[[argparse.Namespace], int] = chosen.run
    try:
        return run(chosen)
    except FileFault as fault:
        return _say(str(fault), FAULTS)
    except (NoLoadStep, ImpossibleAnchor, NoArc) as nothing:
        return _say(f"{nothing}.", FAULTS)
    except InUse as in_use:
        return _say(f"{in_use}.", NOT_NOW)
    except NotHere as refused:
        return _say(str(refused), USAGE)
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
    plain = "line by line, for screen readers, pipes and thin terminals"
    session = _command(
        commands,
        "session",
        _session,
        "be led through today's session",
        "coach session demo_profiles/tern\n  coach session demo_profiles/tern --plain",
    )
    session.add_argument("profile", type=Path, metavar="PROFILE", help="the client's folder")
    session.add_argument("--plain", action="store_true", help=plain)
    _add_look_and_sound(session)
    rehearsal = _command(
        commands,
        "rehearse",
        _rehearse,
        "go through today's session at any speed, with nothing kept",
        "coach rehearse demo_profiles/tern --speed 10\n"
        "  coach rehearse demo_profiles/tern --speed 1000 --answers answers.toml --plain",
    )
    rehearsal.add_argument("profile", type=Path, metavar="PROFILE", help="the client's folder")
    rehearsal.add_argument(
        "--speed", type=_speed, default=1.0, metavar="N", help="so many times as fast as a session; 1 without it"
    )
    rehearsal.add_argument(
        "--answers", type=Path, metavar="FILE", help="answers from a file, as preview takes it, instead of by hand"
    )
    rehearsal.add_argument("--plain", action="store_true", help=plain)
    _add_look_and_sound(rehearsal)
    sound = _command(
        commands,
        "sound",
        _sound,
        "say what plays the tones of a session, and play each of them",
        "coach sound\n  coach sound demo_profiles/tern",
    )
    sound.add_argument(
        "profile",
        type=Path,
        nargs="?",
        metavar="PROFILE",
        help="as this client's profile.toml wants it; all without one",
    )
    preview = _command(
        commands,
        "preview",
        _preview,
        "the timed script of the next session, as text",
        "coach preview demo_profiles/heron\n  coach preview demo_profiles/heron --answers answers.toml\n"
        "  coach preview demo_profiles/heron --decisions",
    )
    preview.add_argument("profile", type=Path, metavar="PROFILE", help="the client's folder")
    preview.add_argument("--decisions", action="store_true", help="what each kind of session would lead to next")
    preview.add_argument(
        "--answers",
        type=Path,
        metavar="FILE",
        help='what if the client answered so: format = 1, [answer] "set_2.blade" = "yes", [repetitions] 2 = 6',
    )
    forecast = _command(
        commands,
        "forecast",
        _forecast,
        "where the client may be in twelve weeks, by simulation",
        "coach forecast demo_profiles/plover\n  coach forecast demo_profiles/plover --seed 7",
    )
    forecast.add_argument("profile", type=Path, metavar="PROFILE", help="the client's folder")
    forecast.add_argument("--seed", type=int, default=1, metavar="N", help="the seed of the simulation's chance")
    history = _command(
        commands,
        "history",
        _history,
        "every session with its decision, and whether progress.toml says the same",
        "coach history demo_profiles/plover\n  coach history demo_profiles/plover --rebuild",
    )
    history.add_argument("profile", type=Path, metavar="PROFILE", help="the client's folder")
    history.add_argument("--rebuild", action="store_true", help="write progress.toml from the records")
    setup = _command(
        commands,
        "setup",
        _setup,
        "the load ladder, the setup of the step in use, its torque over the arc, and what being wrong does",
        "coach setup demo_profiles/tern\n  coach setup demo_profiles/heron --position 45\n"
        "  coach setup demo_profiles/tern --json\n  coach setup demo_profiles/tern --drawing tern.svg",
    )
    setup.add_argument("profile", type=Path, metavar="PROFILE", help="the client's folder")
    setup.add_argument("--position", type=int, metavar="DEGREES", help="another arm position: 0, 45 or 90")
    setup.add_argument("--ladder", action="store_true", help="every load step, not only those around the one in use")
    written = setup.add_mutually_exclusive_group()
    written.add_argument("--json", action="store_true", help="every number needed to compute it again elsewhere")
    written.add_argument(
        "--drawing", type=Path, metavar="FILE.svg", help="write both drawings to scale into a new file, for paper"
    )
    bands = _command(
        commands,
        "bands",
        _bands,
        "the bands on the client's shelf: measured points, the fitted curve, and what is out of line",
        "coach bands demo_profiles/tern\n  coach bands demo_profiles/tern --add grey 120 21.5\n"
        "  coach bands demo_profiles/tern --add-kg grey 120 2.19",
    )
    bands.add_argument("profile", type=Path, metavar="PROFILE", help="the client's folder")
    for option, unit in (("--add", "NEWTON"), ("--add-kg", "KILOGRAM")):
        bands.add_argument(
            option,
            nargs=3,
            metavar=("BAND", "LENGTH_CM", unit),
            help="add a measured point to profile.toml: the stretched length of one strand and what the scale showed",
        )
    handout = _command(
        commands,
        "handout",
        _handout,
        "a page to print and hang on the wall: setup, dose, cues, when to stop, and a log to tick",
        "coach handout demo_profiles/tern --to tern.pdf\n"
        "  coach handout demo_profiles/heron --paper letter --to heron.pdf",
    )
    handout.add_argument("profile", type=Path, metavar="PROFILE", help="the client's folder")
    handout.add_argument(
        "--paper", choices=("a4", "letter"), default="a4", help="the size of the paper; a4 without it"
    )
    handout.add_argument("--to", type=Path, required=True, metavar="FILE.pdf", help="a new file to write")
    export = _command(
        commands,
        "export",
        _export,
        "the client's plan and history for the clinic's own system, or the sets for a spreadsheet",
        "coach export demo_profiles/plover --fhir --to plover.json\n"
        "  coach export demo_profiles/plover --csv --to plover.csv",
    )
    export.add_argument("profile", type=Path, metavar="PROFILE", help="the client's folder")
    form = export.add_mutually_exclusive_group(required=True)
    form.add_argument("--fhir", action="store_true", help="an HL7 FHIR R4 bundle")
    form.add_argument("--csv", action="store_true", help="a table, one row a set")
    export.add_argument("--to", type=Path, required=True, metavar="FILE", help="a new file to write")
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


def _add_look_and_sound(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--silent", action="store_true", help="no tone, no word, no bell; coach sound says what plays"
    )
    command.add_argument(
        "--theme", choices=get_args(ThemeName), help="dark, light or high contrast; else as profile.toml says"
    )


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
    from coach.files.lock import lock
    from coach.screens.start import way_here

    folder, content = _read(chosen.profile)
    way = replace(way_here(chosen.plain), silent=chosen.silent, theme=chosen.theme)
    try:
        with lock(folder.path):
            return _held_session(folder, content, way)
    except OSError as error:
        return _say(f"{folder.path} cannot be written: {error.strerror or error}. Nothing was begun.", FAULTS)


def _held_session(folder: "ProfileFolder", content: "Content", way: "Way") -> int:
    from coach.files.clock import now
    from coach.files.live_session import open_session
    from coach.files.standing import dated_after
    from coach.model.base import fill
    from coach.screens.start import show

    opening, at = open_session(folder, content, now()), now().at
    progress, offer = opening.plan.before, content.words.screens.offer
    dated = dated_after(folder, at)
    if dated is not None:
        times = {"now": at.strftime("%Y-%m-%d %H:%M"), "last": dated.strftime("%Y-%m-%d %H:%M")}
        return _say(fill(offer.clock, times), NOT_NOW)
    if progress.status == "review":
        reason = progress.decision.reason if progress.decision else ""
        return _say(fill(offer.review, {"reason": reason}), NOT_NOW)
    return _ended(show(content, opening, way))


def _ended(ending: "Ending") -> int:
    """Say how a session ended; its exit code."""
    if ending.failed is not None:
        return _say(crash_line(ending.failed), BROKEN)
    if ending.farewell:
        print(ending.farewell)
    return CUT_OFF if ending.cut_off else ending.code


def _rehearse(chosen: argparse.Namespace) -> int:
    from coach.files.clock import now
    from coach.files.live_session import open_rehearsal
    from coach.screens.start import show, way_here
    from coach.session.rehearsal import rehearse

    folder, content = _read(chosen.profile, mends=False)
    opening, answers = open_rehearsal(folder, content, chosen.speed), _answers(chosen.answers)
    if answers is not None:
        try:
            rehearse(opening.plan, answers, now().at)
        except ValueError as error:
            return _say(f"{chosen.answers}: {error}", FAULTS)
    way = way_here(chosen.plain, chosen.speed, somebody=answers is None)
    return _ended(show(content, opening, replace(way, silent=chosen.silent, theme=chosen.theme), answers))


def _sound(chosen: argparse.Namespace) -> int:
    from coach.model.profile import SoundSettings
    from coach.screens.sound.here import try_out

    settings, language = SoundSettings(voice=True), "en"
    if chosen.profile is not None:
        profile = _read(chosen.profile, mends=False)[0].profile
        settings, language = profile.sound, profile.language
    words = load_content(content_folder(), language).words.screens.sound
    try_out(settings, language, words, print)
    return FINE


def _answers(path: Path | None) -> "Answers | None":
    from coach.files.toml import read_model
    from coach.model.answers import Answers

    return read_model(path, Answers) if path is not None else None


def _speed(text: str) -> float:
    try:
        speed = float(text)
    except ValueError:
        speed = 0.0
    if not _SLOWEST <= speed <= _FASTEST:
        raise argparse.ArgumentTypeError(f"{text} is no speed: give a number from {_SLOWEST:g} to {_FASTEST:g}")
    return speed


def _preview(chosen: argparse.Namespace) -> int:
    from coach.files.clock import now
    from coach.reports.preview import preview_text, what_if_text

    plan, answers = _plan(chosen.profile), _answers(chosen.answers)
    if chosen.decisions:
        from coach.reports.decision_table import decision_table_text

        print(decision_table_text(plan, now().at), end="")
        return FINE
    if answers is None:
        print(preview_text(plan, now().at), end="")
        return FINE
    try:
        print(what_if_text(plan, answers, now().at), end="")
    except ValueError as error:
        return _say(f"{chosen.answers}: {error}", FAULTS)
    return FINE


def _forecast(chosen: argparse.Namespace) -> int:
    from coach.files.clock import now
    from coach.reports.forecast import forecast_text

    print(forecast_text(_plan(chosen.profile), chosen.seed, now().at), end="")
    return FINE


def _history(chosen: argparse.Namespace) -> int:
    from coach.files.clock import now
    from coach.files.lock import lock
    from coach.files.standing import agreement, judged, save
    from coach.model.base import fill
    from coach.reports.history import history_text

    folder, content = _read(chosen.profile)
    progress, decisions = judged(folder, content)
    agreed, faults = agreement(folder, content), folder.saved_faults
    print(history_text(folder.profile.name, decisions, agreed, faults, content, folder.saved, progress), end="")
    if not chosen.rebuild:
        return FINE
    with lock(folder.path):
        kept = save(folder, content, progress, now())
    words = content.words.screens.history
    print(words.rebuilt)
    if kept is not None:
        print(fill(words.kept, {"kept": kept.name}))
    return FINE


def _setup(chosen: argparse.Namespace) -> int:
    try:
        plan = _plan(chosen.profile, chosen.position)
    except NoPosition as unknown:
        return _say(f"{unknown}.", USAGE)
    if chosen.drawing is not None:
        return _draw(plan, chosen.drawing)
    if chosen.json:
        from coach.reports.setup_json import setup_json

        print(setup_json(plan))
    else:
        from coach.reports.setup_text import setup_text

        print(setup_text(plan, whole=chosen.ladder), end="")
    return FINE


def _draw(plan: "Plan", path: Path) -> int:
    """Write the drawings into a file that is not there yet."""
    from coach.files.new_file import write_new
    from coach.model.base import fill
    from coach.reports.setup_drawing import setup_svg

    write_new(path, setup_svg(plan).encode())
    print(fill(plan.content.words.screens.setup_report.drawn, {"file": path}))
    return FINE


def _bands(chosen: argparse.Namespace) -> int:
    from coach.reports.bands_text import bands_text

    if chosen.add or chosen.add_kg:
        refusal = _add_point(chosen)
        if refusal:
            return _say(refusal, USAGE)
    folder, content = _read(chosen.profile)
    limits = content.limit_values(folder.prescription.limits)
    print(bands_text(folder.profile, limits, content.words), end="")
    return FINE


def _add_point(chosen: argparse.Namespace) -> str | None:
    """Write one measured point into profile.toml; why not, where its numbers are none."""
    from coach.files.atomic import replace_file
    from coach.files.bands_file import force_from_kg, with_point
    from coach.files.lock import lock
    from coach.files.profile_folder import PROFILE

    band, length, pull = chosen.add or chosen.add_kg
    try:
        length_m, pulled = float(length) / 100, float(pull)
    except ValueError:
        return f"{length} and {pull} must be numbers: the length in centimetres, and what the scale showed"
    folder, _ = _read(chosen.profile)
    path = folder.path / PROFILE
    with lock(folder.path):
        replace_file(path, with_point(path, band, length_m, pulled if chosen.add else force_from_kg(pulled)))
    return None


def _handout(chosen: argparse.Namespace) -> int:
    from coach.files.new_file import refuse_existing, write_new
    from coach.files.standing import judged
    from coach.model.base import fill
    from coach.reports.handout import NotOnePage, handout_pdf
    from coach.session.plan import plan_session

    refuse_existing(chosen.to)
    folder, content = _read(chosen.profile, mends=False)
    progress, _ = judged(folder, content)
    if progress.status == "review":
        reason = progress.decision.reason if progress.decision else ""
        return _say(fill(content.words.screens.offer.review, {"reason": reason}), NOT_NOW)
    plan = plan_session(folder.profile, folder.prescription, content, progress)
    try:
        page = handout_pdf(plan, [one.record for one in folder.kept], chosen.paper)
    except NotOnePage as error:
        return _say(f"{error}.", FAULTS)
    write_new(chosen.to, page)
    print(fill(content.words.screens.handout.written, {"file": chosen.to}))
    return FINE


def _export(chosen: argparse.Namespace) -> int:
    from coach.files.new_file import refuse_existing, write_new
    from coach.model.base import fill
    from coach.reports.export import csv_export, fhir_export

    refuse_existing(chosen.to)
    folder, content = _read(chosen.profile, mends=False)
    made = (fhir_export if chosen.fhir else csv_export)(folder, content)
    print(made.holds, end="", flush=True)
    write_new(chosen.to, made.data)
    print(fill(content.words.screens.export.written, {"file": chosen.to}))
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


def _read(path: Path, mends: bool = True) -> "tuple[ProfileFolder, Content]":
    """A client's folder, and the content in the client's language; without `mends` nothing is written."""
    from coach.files.profile_folder import read_profile_folder

    folder = read_profile_folder(path, mends)
    return folder, load_content(content_folder(), folder.profile.language)


def _plan(path: Path, position_deg: int | None = None) -> "Plan":
    """The client's next session; or the same client at the lowest step of another position."""
    from coach.files.standing import judged
    from coach.session.plan import plan_session

    folder, content = _read(path)
    progress, _ = judged(folder, content)
    if position_deg is not None and position_deg != progress.position_deg:
        progress = progress.model_copy(update={"position_deg": position_deg, "load": None})
    return plan_session(folder.profile, folder.prescription, content, progress)


def _say(sentence: str, code: int) -> int:
    print(sentence, file=sys.stderr)
    return code
