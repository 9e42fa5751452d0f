"""What the therapist runs to look and to measure: forecast, history, setup, bands."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.given import FINE, USAGE, client_and_content, declare, past_of, plan_of, say, tell

if TYPE_CHECKING:
    from coach.session.plan import Plan


def declare_all(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """forecast, history, setup, bands."""
    forecast = declare(
        commands,
        "forecast",
        _forecast,
        "where the client may be in twelve weeks, by simulation",
        "coach forecast demo_profiles/plover\n  coach forecast demo_profiles/plover --seed 7",
    )
    forecast.add_argument("--seed", type=int, default=1, metavar="N", help="the seed of the simulation's chance")
    history = declare(
        commands,
        "history",
        _history,
        "every session with its decision, and whether progress.toml says the same",
        "coach history demo_profiles/plover\n  coach history demo_profiles/plover --pictures\n"
        "  coach history demo_profiles/plover --rebuild",
    )
    history.add_argument("--pictures", action="store_true", help="load, repetitions, pain, faults and more over time")
    history.add_argument("--rebuild", action="store_true", help="write progress.toml from the records")
    setup = declare(
        commands,
        "setup",
        _setup,
        "the load ladder, the setup of the step in use, its torque over the arc, and what being wrong does",
        "coach setup demo_profiles/tern\n  coach setup demo_profiles/heron --position 45\n"
        "  coach setup demo_profiles/tern --json\n  coach setup demo_profiles/tern --drawing tern.svg",
    )
    setup.add_argument("--position", type=int, metavar="DEGREES", help="another arm position of the exercise")
    setup.add_argument("--ladder", action="store_true", help="every load step, not only those around the one in use")
    written = setup.add_mutually_exclusive_group()
    written.add_argument("--json", action="store_true", help="every number needed to compute it again elsewhere")
    written.add_argument(
        "--drawing", type=Path, metavar="FILE.svg", help="write both drawings to scale into a new file, for paper"
    )
    bands = declare(
        commands,
        "bands",
        _bands,
        "the bands on the client's shelf: measured points, the fitted curve, and what is out of line",
        "coach bands demo_profiles/tern\n  coach bands demo_profiles/tern --add grey 120 21.5\n"
        "  coach bands demo_profiles/tern --add-kg grey 120 2.19",
    )
    for option, unit in (("--add", "NEWTON"), ("--add-kg", "KILOGRAM")):
        bands.add_argument(
            option,
            nargs=3,
            metavar=("BAND", "LENGTH_CM", unit),
            help="add a measured point to profile.toml: the stretched length of one strand and what the scale showed",
        )


def _forecast(chosen: argparse.Namespace) -> int:
    from coach.files.clock import now
    from coach.reports.forecast import forecast_text

    print(forecast_text(plan_of(chosen.profile), chosen.seed, now().at), end="")
    return FINE


def _history(chosen: argparse.Namespace) -> int:
    from coach.files.clock import now
    from coach.files.lock import lock
    from coach.files.standing import agreement, judged, save
    from coach.model.language import fill
    from coach.model.page_words.history import HistoryWords
    from coach.reports.history import history_text

    if chosen.pictures:
        print(_pictures(chosen.profile), end="")
        return FINE
    folder, content = client_and_content(chosen.profile)
    progress, decisions = judged(folder, content)
    agreed, faults = agreement(folder, content), folder.saved_faults
    print(history_text(folder.profile.name, decisions, agreed, faults, content, folder.saved, progress), end="")
    if not chosen.rebuild:
        return FINE
    with lock(folder.path):
        kept = save(folder, content, progress, now())
    words = content.words.of(HistoryWords)
    print(words.rebuilt)
    if kept is not None:
        tell(fill(words.kept, {"kept": kept.name}))
    return FINE


def _pictures(path: Path) -> str:
    from coach.model.page_words.pictures import PicturesWords
    from coach.reports.picture_text import pictures_text
    from coach.session.pictures import pictures

    past = past_of(path)
    return pictures_text(pictures(past), past.content.words.of(PicturesWords))


def _setup(chosen: argparse.Namespace) -> int:
    plan = plan_of(chosen.profile, chosen.position)
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
    from coach.model.language import fill
    from coach.model.page_words.setup_report import SetupReportWords
    from coach.reports.setup_drawing import setup_svg

    write_new(path, setup_svg(plan).encode())
    return tell(fill(plan.content.words.of(SetupReportWords).drawn, {"file": path}))


def _bands(chosen: argparse.Namespace) -> int:
    from coach.reports.bands_text import bands_text

    if chosen.add or chosen.add_kg:
        refusal = _add_point(chosen)
        if refusal:
            return say(refusal, USAGE)
    folder, content = client_and_content(chosen.profile)
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
    path = chosen.profile / PROFILE
    with lock(chosen.profile):
        replace_file(path, with_point(path, band, length_m, pulled if chosen.add else force_from_kg(pulled)))
    return None
