"""What the therapist runs to look and to measure: forecast, history, setup, bands."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.arguments import declare
from coach.commands.support.loading import client_and_content, past_of, plan_of
from coach.commands.support.output import FINE, USAGE, say, tell, written

if TYPE_CHECKING:
    from coach.session.plan import Plan


def declare_all(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """forecast, history, setup, bands."""
    forecast = declare(
        commands,
        "forecast",
        _forecast,
        "where the client may be in twelve weeks, by simulation",
        "Virtual clients go through the very same sessions and rules, with strength,\n"
        "soreness and days left out by chance; what is assumed is said. No promise.",
        ("coach forecast demo_profiles/plover", "coach forecast demo_profiles/plover --seed 7"),
    )
    forecast.add_argument(
        "--seed",
        type=int,
        default=1,
        metavar="N",
        help="the seed of chance; the same one gives the same weeks; 1 without it",
    )
    history = declare(
        commands,
        "history",
        _history,
        "every session with its decision and why; or as pictures",
        "Each decision with its rule, numbers and source, and what would have changed\n"
        "it; then whether progress.toml is what the records give.",
        (
            "coach history demo_profiles/plover",
            "coach history demo_profiles/plover --pictures",
            "coach history demo_profiles/plover --rebuild",
        ),
    )
    history.add_argument(
        "--pictures",
        action="store_true",
        help="instead: load, repetitions, pain, faults, range, days and activities over time, "
        "with what lies within the error of measuring marked",
    )
    history.add_argument(
        "--rebuild",
        action="store_true",
        help="and write progress.toml anew from the records; one that says otherwise is kept aside",
    )
    setup = declare(
        commands,
        "setup",
        _setup,
        "load ladder, setup and torque, and what a wrong setup does",
        "The step in use in numbers: band, distance, anchor height, body turn, torque at\n"
        "each part of the arc; what a wrong distance, height or turn does to it; other\n"
        "places at home; the load steps around it; both drawings.",
        (
            "coach setup demo_profiles/tern",
            "coach setup demo_profiles/heron --position 45 --ladder",
            "coach setup demo_profiles/tern --drawing tern.svg",
        ),
    )
    setup.add_argument("--position", type=int, metavar="DEGREES", help="another arm position, at its lowest step")
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
        "the bands on the client's shelf: measured points and curve",
        "A band is known by its force: stretch one strand, read a scale, add the point.\n"
        "The curve through a band's points is said in numbers, and so is a point that\n"
        "is out of line with the others. From one point alone it is a guess.",
        (
            "coach bands demo_profiles/tern",
            "coach bands demo_profiles/tern --add knotted 120 21.5",
            "coach bands demo_profiles/tern --add-kg knotted 130 2.4",
        ),
    )
    for option, unit in (("--add", "NEWTON"), ("--add-kg", "KILOGRAM")):
        bands.add_argument(
            option,
            nargs=3,
            metavar=("BAND", "LENGTH_CM", unit),
            help=f"add a point to profile.toml: one strand as stretched, in cm, and its pull, in {unit.lower()}s",
        )


def _forecast(chosen: argparse.Namespace) -> int:
    from coach.reports.text.forecast import forecast_text
    from coach.store.clock import now

    print(forecast_text(plan_of(chosen.profile), chosen.seed, now().at), end="")
    return FINE


def _history(chosen: argparse.Namespace) -> int:
    from coach.model.message_format import fill
    from coach.model.messages.history import HistoryWords
    from coach.reports.text.history import history_of
    from coach.store.client_store import judged, save
    from coach.store.clock import now
    from coach.store.lock import lock

    if chosen.pictures:
        print(_pictures(chosen.profile), end="")
        return FINE
    folder, content = client_and_content(chosen.profile)
    print(history_of(folder, content), end="")
    if not chosen.rebuild:
        return FINE
    with lock(folder.path):
        kept = save(folder, content, judged(folder, content)[0], now())
    words = content.words.of(HistoryWords)
    print(words.rebuilt)
    if kept is not None:
        tell(fill(words.kept, {"kept": kept.name}))
    return FINE


def _pictures(path: Path) -> str:
    from coach.model.messages.history_charts import PicturesWords
    from coach.overview.history_charts import pictures
    from coach.reports.text.history_plots import pictures_text

    past = past_of(path)
    return pictures_text(pictures(past), past.content.words.of(PicturesWords))


def _setup(chosen: argparse.Namespace) -> int:
    plan = plan_of(chosen.profile, chosen.position)
    if chosen.drawing is not None:
        return _draw(plan, chosen.drawing)
    if chosen.json:
        from coach.reports.tables.setup_json import setup_json

        print(setup_json(plan))
    else:
        from coach.reports.text.setup import setup_text

        print(setup_text(plan, whole=chosen.ladder), end="")
    return FINE


def _draw(plan: "Plan", path: Path) -> int:
    """Write the drawings into a file that is not there yet."""
    from coach.model.messages.setup_report import SetupReportWords
    from coach.reports.pdf.setup_drawing import setup_svg

    return written(path, setup_svg(plan).encode(), plan.content.words.of(SetupReportWords).drawn)


def _bands(chosen: argparse.Namespace) -> int:
    from coach.reports.text.bands import bands_text

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
    from coach.store.client_paths import PROFILE
    from coach.store.lock import lock
    from coach.store.therapist.bands_file import force_from_kg, with_point
    from coach.toml.atomic_write import replace_file

    band, length, pull = chosen.add or chosen.add_kg
    try:
        length_m, pulled = float(length) / 100, float(pull)
    except ValueError:
        return f"{length} and {pull} must be numbers: the length in centimetres, and what the scale showed"
    path = chosen.profile / PROFILE
    with lock(chosen.profile):
        replace_file(path, with_point(path, band, length_m, pulled if chosen.add else force_from_kg(pulled)))
    return None
