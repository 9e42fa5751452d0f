"""Pieces of the clinic's rolls: measured once, by name for every client, each aged by its own use."""

from datetime import date
from pathlib import Path

import pytest

from coach.authoring.check import check_folder
from coach.authoring.check_clinic import check_clinic
from coach.model.band import BandGrade, BandPiece, BandPoint, EarlierMeasurement
from coach.model.content_entries import Clinic
from coach.store.client_folder import read_client_folder
from coach.store.programme.pieces import band_of
from coach.store.therapist.bands_file import with_point
from coach.store.therapist.check_client import check_profile
from coach.store.therapist.intake import check_client_texts, client_texts, create_client
from coach.toml.diagnostic import FileFault
from tests.plans import shipped
from tests.screens.therapist.new_client import TYPED

TODAY = date(2026, 11, 29)
POINTS = ((0.875, 4.8), (1.05, 6.7), (1.4, 10.3))


def points(share: float = 1.0, more: float = 0.0) -> tuple[BandPoint, ...]:
    return tuple(BandPoint(length_m=round(length * share, 4), force_n=force + more) for length, force in POINTS)


ROLL = BandGrade(
    name="grey_roll",
    looks="the grey band",
    resting_length_m=0.7,
    measured_on=date(2026, 6, 1),
    latex_free=True,
    points=points(),
    earlier=(EarlierMeasurement(measured_on=date(2025, 1, 1), resting_length_m=0.7, points=points(more=1.0)),),
)
CLINIC = """format = 1

[[bands]]
name = "grey_roll"
looks = "the grey band"
resting_length_m = 0.7
measured_on = 2026-06-01
points = [
  { length_m = 0.875, force_n = 4.8 },
  { length_m = 1.05, force_n = 6.7 },
  { length_m = 1.4, force_n = 10.3 },
]
"""


@pytest.fixture
def clients(tmp_path: Path) -> Path:
    """A folder of clients with a clinic that has a shelf."""
    (tmp_path / "clinic").mkdir()
    (tmp_path / "clinic" / "clinic.toml").write_text(CLINIC, encoding="utf-8")
    return tmp_path


def test_a_piece_has_the_points_of_its_roll_in_proportion_to_its_length() -> None:
    """Tension depends on elongation, not on resting length: Thomas M et al. 2005 (A5)."""
    piece = BandPiece(roll="grey_roll", resting_length_m=1.4, given_on=date(2026, 11, 29))
    band = band_of(piece, ROLL)
    assert band.points == points(2.0)
    assert (band.name, band.looks, band.resting_length_m, band.latex_free) == (
        "grey_roll",
        "the grey band",
        1.4,
        True,
    )
    assert band.measured_on == date(2026, 11, 29), "its use is counted from the day on which it was given"


@pytest.mark.parametrize(("given", "more"), [("2026-06-01", 0.0), ("2026-05-31", 1.0), ("2024-01-01", 1.0)])
def test_a_piece_is_as_its_roll_was_measured_by_then(given: str, more: float) -> None:
    band = band_of(BandPiece(roll="grey_roll", given_on=date.fromisoformat(given)), ROLL)
    assert band.points == points(more=more)


def test_intake_takes_the_name_of_a_roll(clients: Path) -> None:
    typed = {**TYPED, "profile.bands.1.name": "grey_roll", "profile.name": "wren", "profile.language": "en"}
    for key in ("looks", "resting_length_m", "points"):
        typed[f"profile.bands.1.{key}"] = ""
    typed |= {"profile.bands.1.resting_length_m": "140 cm", "profile.home.nearest_cm": "60"}
    typed |= {"profile.home.farthest_cm": "200", "profile.home.strands": "1", "prescription.positions": "0"}
    typed |= {"prescription.exercise": "external_rotation"}
    dose = {"sets": "3", "repetitions_min": "8", "repetitions_max": "15", "tempo": "3 2 3 2", "rest_s": "120"}
    typed |= {
        f"prescription.dose.{key}": text for key, text in (dose | {"count_in_s": "10", "days_a_week": "3"}).items()
    }
    texts = client_texts(typed, TODAY, Clinic(bands=(ROLL,)))
    client = clients / "wren"
    assert check_client_texts(texts, client, shipped()).faults == ()
    create_client(texts, client, shipped())
    assert (
        "points"
        not in (client / "profile.toml").read_text(encoding="utf-8").partition("[[pieces]]")[2].partition("[[")[0]
    )
    read = read_client_folder(client).profile
    assert [band.name for band in read.bands] == ["knotted", "grey_roll"]
    assert read.bands[1].points == points(2.0)
    assert read.measured_on["grey_roll"] == TODAY
    assert check_profile(client, shipped(), ("en",)) == ()


def test_a_piece_is_not_measured_in_the_clients_file(demo_profiles: Path) -> None:
    file = demo_profiles / "tern" / "profile.toml"
    with file.open("a", encoding="utf-8") as opened:
        opened.write('\n[[pieces]]\nroll = "grey_roll"\nname = "grey"\ngiven_on = 2026-11-01\n')
    with pytest.raises(FileFault, match="a piece of the clinic's roll grey_roll"):
        with_point(file, "grey", 1.2, 8.0)


def test_a_roll_that_is_not_there_is_told_at_its_place(clients: Path, demo_profiles: Path) -> None:
    client = clients / "tern"
    (demo_profiles / "tern").rename(client)
    file = client / "profile.toml"
    with file.open("a", encoding="utf-8") as opened:
        opened.write('\n[[pieces]]\nroll = "gray_roll"\ngiven_on = 2026-11-01\n')
    with pytest.raises(FileFault) as refused:
        read_client_folder(client)
    (fault,) = refused.value.faults
    assert (fault.line, fault.nearest) == (len(file.read_text().splitlines()) - 1, "grey_roll")
    assert fault in check_profile(client, shipped(), ("en",))


def test_the_clinics_shelf_is_checked_as_the_clients_own(clients: Path) -> None:
    clinic = clients / "clinic"
    (clinic / "clinic.toml").write_text(CLINIC.replace("length_m = 1.05", "length_m = 0.65"), encoding="utf-8")
    faults = check_clinic(clinic)
    assert [(fault.path.name, fault.line) for fault in faults] == [("clinic.toml", 10)]


def test_a_fault_of_the_shelf_is_told_once_however_many_have_a_piece(clients: Path, demo_profiles: Path) -> None:
    for name in ("tern", "avocet"):
        (demo_profiles / name).rename(clients / name)
        with (clients / name / "profile.toml").open("a", encoding="utf-8") as opened:
            opened.write('\n[[pieces]]\nroll = "grey_roll"\ngiven_on = 2026-11-01\n')
    (clients / "clinic" / "clinic.toml").write_text(CLINIC.replace("looks =", "look ="), encoding="utf-8")
    assert [(fault.path.name, fault.line, fault.nearest) for fault in check_folder(clients)] == [
        ("clinic.toml", 5, "looks")
    ]
