"""Numbers and dates on the command line are read as those of a form: with a decimal comma, a unit, a local date."""

import tomllib
from pathlib import Path

import pytest

from coach.cli import main
from coach.commands.support.output import FINE, USAGE
from coach.store.client_paths import MEASURED, PROFILE
from tests.demo.pristine import DEMO

Printed = pytest.CaptureFixture[str]


def _newest(client: Path, band: str) -> tuple[float, float]:
    """The point of a band that stands last."""
    profile = tomllib.loads((client / PROFILE).read_text(encoding="utf-8"))
    (found,) = [one for one in profile["bands"] if one["name"] == band]
    return found["points"][-1]["length_m"], found["points"][-1]["force_n"]


@pytest.mark.parametrize(
    ("option", "length", "pull", "length_m", "force_n"),
    [
        ("--add", "120", "21,5", 1.2, 21.5),
        ("--add", "120,5", "21.5", 1.205, 21.5),
        ("--add", "1,2 m", "21,5 N", 1.2, 21.5),
        ("--add", "48in", "5lb", 1.2192, 22.24),
        ("--add", "48 in", "2,3kg", 1.2192, 22.56),
        ("--add-kg", "130", "2,4", 1.3, 23.54),
        ("--add-kg", "4 ft 3", "5 lb", 1.2954, 22.24),
    ],
)
def test_a_point_is_read_as_in_the_intake(
    option: str, length: str, pull: str, length_m: float, force_n: float, demo_profiles: Path
) -> None:
    client = demo_profiles / "tern"
    assert main(["bands", str(client), option, "knotted", length, pull]) == FINE
    assert _newest(client, "knotted") == (length_m, force_n)


@pytest.mark.parametrize("option", ["--again", "--again-kg"])
def test_a_band_is_measured_again_with_decimal_commas(option: str, demo_profiles: Path) -> None:
    client = demo_profiles / "tern"
    values = {"--again": ("9,2", "13,3 N"), "--again-kg": ("0,94", "2lb")}[option]
    assert main(["bands", str(client), option, "knotted", "71,5", "106", values[0], "142,2", values[1]]) == FINE
    assert _newest(client, "knotted") == (1.422, {"--again": 13.3, "--again-kg": 8.9}[option])


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--add", "knotted", "1,000", "21"), "1,000 can be 1 or 1000"),
        (("--add", "knotted", "120", "21 bar"), "21 bar has a unit that is not used here"),
        (("--add", "knotted", "120", "21 bar"), "in one of N, kg, g, lb"),
        (("--add-kg", "knotted", "130", "24N"), "24N has a unit that is not used here"),
        (("--add", "knotted", "120", "much"), "much is not a number; expected the reading of the scale, in N"),
        (
            ("--add", "knotted", "far", "21"),
            "far is not a number; expected the length of the stretched strand, in cm",
        ),
        (("--again", "knotted", "71", "106", "9 bar", "142", "13"), "9 bar has a unit that is not used here"),
        (("--again", "knotted", "71", "106", "9", "142", "hard"), "hard is not a number"),
    ],
)
def test_what_is_unclear_is_refused_with_its_reason(
    words: tuple[str, ...], told: str, demo_profiles: Path, capsys: Printed
) -> None:
    before = (demo_profiles / "tern" / PROFILE).read_bytes()
    assert main(["bands", str(demo_profiles / "tern"), *words]) == USAGE
    assert told in capsys.readouterr().err
    assert (demo_profiles / "tern" / PROFILE).read_bytes() == before


def _of_session(client: Path, when: str) -> int:
    return main(["measured", str(client), str(DEMO / "forearm.csv"), "--session", when, "--set", "1", "--yes"])


def _clinic(profiles: Path, dates: str) -> None:
    (profiles / "clinic").mkdir()
    (profiles / "clinic" / "clinic.toml").write_text(f'format = 1\nname = "C"\ndates = "{dates}"\n', encoding="utf-8")


@pytest.mark.parametrize(
    "when",
    [
        "20.11.2026",
        "20. 11. 2026",
        "20/11/2026",
        "2026-11-20",
        "20.11.2026 18:10",
        "2026-11-20T18",
        "2026-11-20 18:1",
    ],
)
def test_a_session_is_named_by_a_date_that_can_be_no_other(when: str, demo_profiles: Path) -> None:
    assert _of_session(demo_profiles / "heron", when) == FINE
    assert [path.name for path in (demo_profiles / "heron" / MEASURED).iterdir()] == ["2026-11-20T181000-set1.toml"]


@pytest.mark.parametrize(("dates", "when"), [("day first", "2/11/2026"), ("month first", "11/2/2026")])
def test_a_date_that_can_be_two_days_is_read_in_the_order_of_the_clinic(
    dates: str, when: str, demo_profiles: Path, capsys: Printed
) -> None:
    client = demo_profiles / "heron"
    assert _of_session(client, when) != FINE
    told = " ".join(capsys.readouterr().err.split())
    assert f"{when} can be 2026-02-11 or 2026-11-02" in told
    assert "write the year, then the month, then the day" in told
    _clinic(demo_profiles, dates)
    assert _of_session(client, when) == FINE
    assert [path.name[:10] for path in (client / MEASURED).iterdir()] == ["2026-11-02"]


@pytest.mark.parametrize(
    ("when", "told"),
    [
        ("19.11.2026", "no session was started at 19.11.2026"),
        ("31.11.2026", "31.11.2026 is no day of the calendar"),
        ("20.11.26", "20.11.26 has no year of four digits"),
        ("yesterday", "no session was started at yesterday"),
    ],
)
def test_a_day_without_a_session_is_told_as_it_was_typed(
    when: str, told: str, demo_profiles: Path, capsys: Printed
) -> None:
    assert _of_session(demo_profiles / "heron", when) != FINE
    said = " ".join(capsys.readouterr().err.split())
    assert told in said
    assert "2026-11-20T18:10" in said


def test_a_speed_has_a_decimal_comma_too(demo_profiles: Path, capsys: Printed) -> None:
    answers = ("--plain", "--answers", str(DEMO / "answers.toml"))
    with pytest.raises(SystemExit):
        main(["rehearse", str(demo_profiles / "tern"), "--speed", "2,5,1", *answers])
    assert "2,5,1 is not a speed" in capsys.readouterr().err
    assert main(["rehearse", str(demo_profiles / "tern"), "--speed", "9999,5", *answers]) == FINE
