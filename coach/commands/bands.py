"""`coach bands`: the client's bands as measured; measured points added."""

import argparse

from coach.commands.support.arguments import Commands, add_command, add_content
from coach.commands.support.loading import client_store
from coach.commands.support.output import FINE, USAGE, print_error


def add_commands(commands: Commands) -> None:
    """Add bands."""
    bands = add_command(
        commands,
        "bands",
        _bands,
        "show the client's bands, or add a measured point",
        "To measure a band, stretch one strand, read the force on a scale, and add the "
        "length and the force as a point. The report shows the curve fitted to the points "
        "of each band and any point that does not fit. With a single point the curve is "
        "a guess.",
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
            help=f"add a point to profile.toml: length of one stretched strand in cm, force in {unit.lower()}s",
        )
    add_content(bands)


def _bands(arguments: argparse.Namespace) -> int:
    from coach.reports.text.bands import bands_text

    if arguments.add or arguments.add_kg:
        refusal = _add_point(arguments)
        if refusal:
            return print_error(refusal, USAGE)
    store = client_store(arguments.profile)
    limits = store.content.limit_values(store.prescription.limits)
    print(bands_text(store.profile, limits, store.content.messages), end="")
    return FINE


def _add_point(arguments: argparse.Namespace) -> str | None:
    """Write one measured point to profile.toml; returns an error message if a value is not a number."""
    from coach.store.client_paths import PROFILE
    from coach.store.lock import lock
    from coach.store.therapist.bands_file import force_from_kg, with_point
    from coach.toml.atomic_write import replace_file

    band, length, pull = arguments.add or arguments.add_kg
    try:
        length_m, pulled = float(length) / 100, float(pull)
    except ValueError:
        return f"{length} and {pull} must be numbers: the length in centimetres and the reading of the scale"
    path = arguments.profile / PROFILE
    with lock(arguments.profile):
        replace_file(path, with_point(path, band, length_m, pulled if arguments.add else force_from_kg(pulled)))
    return None
