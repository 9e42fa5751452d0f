"""`coach bands`: the client's bands as measured; measured points added, and bands measured again."""

import argparse
from collections.abc import Callable

from coach.commands.support.arguments import Commands, add_command, add_content
from coach.commands.support.loading import client_store
from coach.commands.support.output import FINE, USAGE, print_error


def add_commands(commands: Commands) -> None:
    """Add bands."""
    bands = add_command(
        commands,
        "bands",
        _bands,
        "To measure a band, stretch one strand, read the force on a scale, and add the "
        "length and the force as a point. The report shows the curve fitted to the points "
        "of each band and any point that does not fit. With a single point the curve is "
        "a guess. Use takes tension from a band: when the report asks for it, measure the band again. "
        "The new measurement is dated today, and what was measured before is kept in the file.",
        (
            "coach bands demo_profiles/tern",
            "coach bands demo_profiles/tern --add knotted 120 21.5",
            "coach bands demo_profiles/tern --add-kg knotted 130 2.4",
            "coach bands demo_profiles/tern --again knotted 71 106 9.2 142 13.3",
        ),
    )
    for option, unit in (("--add", "NEWTON"), ("--add-kg", "KILOGRAM")):
        bands.add_argument(
            option,
            nargs=3,
            metavar=("BAND", "LENGTH_CM", unit),
            help=f"add a point to profile.toml: length of one stretched strand in cm, force in {unit.lower()}s; in "
            "another unit with its sign directly after the number, such as 48in 5lb",
        )
    for option, unit in (("--again", "newtons"), ("--again-kg", "kilograms")):
        bands.add_argument(
            option,
            nargs="+",
            metavar="VALUE",
            help="measure a band again, as of today: BAND, its resting length in cm, then for two pulls or more the "
            f"length in cm and the force in {unit}",
        )
    add_content(bands)


def _bands(arguments: argparse.Namespace) -> int:
    from coach.reports.text.bands import bands_of_client

    refusal = _write(arguments)
    if refusal:
        return print_error(refusal, USAGE)
    store = client_store(arguments.profile)
    print(bands_of_client(store), end="")
    return FINE


def _write(arguments: argparse.Namespace) -> str | None:
    """Write what was measured to profile.toml; returns an error message if the values are no measurement."""
    from coach.store.client_paths import PROFILE
    from coach.store.lock import lock
    from coach.toml.atomic_write import replace_file

    given = [values for values in (_added(arguments), _measured_again(arguments)) if values is not None]
    if len(given) > 1:
        return "--add and --again were both given: add a point, or measure the band again"
    for change in given:
        if isinstance(change, str):
            return change
        with lock(arguments.profile):
            replace_file(arguments.profile / PROFILE, change())
    return None


def _added(arguments: argparse.Namespace) -> Callable[[], str] | str | None:
    """What writes one more point, an error message, or None where none is to be added."""
    from coach.commands.support.band_values import band_values
    from coach.store.client_paths import PROFILE
    from coach.store.therapist.bands_file import force_from_kg, with_point

    values = arguments.add or arguments.add_kg
    if not values:
        return None
    band, *rest = values
    numbers = band_values(rest, in_kg=arguments.add is None)
    if isinstance(numbers, str):
        return numbers
    length_cm, pull = numbers
    force_n = pull if arguments.add else force_from_kg(pull)
    return lambda: with_point(arguments.profile / PROFILE, band, length_cm / 100, force_n)


def _measured_again(arguments: argparse.Namespace) -> Callable[[], str] | str | None:
    """What writes a new measurement, an error message, or None where nothing was measured again."""
    from coach.commands.support.band_values import band_values
    from coach.store.client_paths import PROFILE
    from coach.store.clock import now
    from coach.store.therapist.bands_file import force_from_kg, with_measurement

    values = arguments.again or arguments.again_kg
    if not values:
        return None
    band, *rest = values
    wanted = (
        f"after the band, {band}, there must be its resting length in centimetres, then pairs of a length in "
        "centimetres and the reading of the scale, all of them numbers"
    )
    if len(rest) % 2 == 0:
        return wanted
    numbers = band_values(rest, in_kg=arguments.again is None, again=True)
    if isinstance(numbers, str):
        return f"{numbers}. {wanted[0].upper()}{wanted[1:]}"
    forces = [pull if arguments.again else force_from_kg(pull) for pull in numbers[2::2]]
    pulls = [(length_cm / 100, force_n) for length_cm, force_n in zip(numbers[1::2], forces, strict=True)]
    return lambda: with_measurement(arguments.profile / PROFILE, band, numbers[0] / 100, pulls, now().at.date())
