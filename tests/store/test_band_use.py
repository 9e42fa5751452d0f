"""A band's use, from the records of a client to the therapist's lists and the spread of the next load."""

import shutil
from datetime import date
from pathlib import Path

import pytest

from coach.cli import main
from coach.mechanics.band_uncertainty import age_uncertainty
from coach.session.plan import plan_session
from coach.store.client_paths import PRESCRIPTION, PROFILE
from coach.store.client_store import ClientStore
from coach.store.client_summary import summary_of
from coach.store.therapist.bands_file import with_measurement
from coach.toml.atomic_write import replace_file
from tests.clocks import START
from tests.demo.pristine import DEMO
from tests.plans import shipped


@pytest.fixture
def client(tmp_path: Path) -> Path:
    """A client with a history, whose progress.toml is up to date."""
    folder = Path(shutil.copytree(DEMO / "heron", tmp_path / "heron"))
    ClientStore.read(folder, shipped()).save(START)
    return folder


def _measure_again(client: Path, day: date) -> str:
    """Measure the band in use again, with the same result; its name."""
    store = ClientStore.read(client, shipped())
    assert store.progress.load is not None
    name = store.progress.load.grade
    band = next(one for one in store.profile.bands if one.name == name)
    pulls = [(point.length_m, point.force_n) for point in band.points]
    replace_file(client / PROFILE, with_measurement(client / PROFILE, name, band.resting_length_m, pulls, day))
    return name


def test_measuring_a_band_again_begins_its_age_anew_and_moves_nobody(client: Path) -> None:
    before = ClientStore.read(client, shipped())
    assert before.progress.load is not None
    assert before.progress.band_use[before.progress.load.grade] > 0
    name = _measure_again(client, date(2027, 1, 1))
    after = ClientStore.read(client, shipped())
    assert name not in after.progress.band_use
    assert after.save(START) is None, "progress.toml was taken for one written by hand"
    known = {"measured_on", "band_use"}
    assert after.progress.model_dump(exclude=known) == before.progress.model_dump(exclude=known)


def test_the_next_load_is_known_better_once_the_band_was_measured_again(client: Path) -> None:
    widths = []
    for day in (None, date(2027, 1, 1)):
        if day is not None:
            _measure_again(client, day)
        store = ClientStore.read(client, shipped())
        step = plan_session(store.profile, store.prescription, store.content, store.progress).step
        assert step.low_nm is not None
        assert step.high_nm is not None
        widths.append(step.high_nm - step.low_nm)
    assert widths[1] < widths[0]


def test_a_worn_band_of_the_programme_is_in_the_summary_and_one_laid_aside_is_not(client: Path) -> None:
    store = ClientStore.read(client, shipped())
    limits = store.content.limit_values(store.prescription.limits)
    worst = max(store.progress.band_use, key=lambda name: store.progress.band_use[name])
    expected = age_uncertainty(store.progress.band_use[worst], limits)
    assert summary_of(client, shipped()).band_age == pytest.approx(expected)
    others = ", ".join(f'"{band.name}"' for band in store.profile.bands if band.name != worst)
    path = client / PRESCRIPTION
    text = path.read_text(encoding="utf-8").replace("\npositions =", f"\nbands = [{others}]\npositions =", 1)
    path.write_text(text, encoding="utf-8")
    assert summary_of(client, shipped()).band_age < expected


def test_the_report_says_the_use_and_asks_for_a_measurement_that_the_command_writes(
    client: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    store = ClientStore.read(client, shipped())
    profile = store.profile
    name = max(store.progress.band_use, key=lambda one: store.progress.band_use[one])
    assert main(["bands", str(client)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Since then it was used as much as by" in said
    assert f"{name}: since it was measured, its use may have changed its tension" in said
    band = next(one for one in profile.bands if one.name == name)
    pulls = [f"{value:g}" for point in band.points[:2] for value in (point.length_m * 100, point.force_n * 0.9)]
    assert main(["bands", str(client), "--again", name, f"{band.resting_length_m * 100:g}", *pulls]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Before" in said
    assert f"{name}: since it was measured" not in said
    new = next(one for one in ClientStore.read(client, shipped()).profile.bands if one.name == name)
    assert len(new.earlier) == 1
    assert new.earlier[0].points == band.points
    assert new.measured_on is not None


@pytest.mark.parametrize(
    ("values", "named"),
    [
        (["knotted"], "there must be its resting length"),
        (["knotted", "71", "106"], "there must be its resting length"),
        (["knotted", "71", "106", "nine"], "there must be its resting length"),
        (["knotted", "71", "106", "9"], "fewer than two lengths"),
        (["knoted", "71", "106", "9", "140", "13"], "knotted"),
    ],
)
def test_values_that_are_no_measurement_change_nothing(
    values: list[str], named: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = Path(shutil.copytree(DEMO / "tern", tmp_path / "tern"))
    before = (folder / PROFILE).read_bytes()
    assert main(["bands", str(folder), "--again", *values]) != 0
    assert named in capsys.readouterr().err
    assert (folder / PROFILE).read_bytes() == before
