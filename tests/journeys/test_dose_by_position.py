"""Tempo and dose may differ by position: prescribed, changed by instruction, asked for and told."""

from datetime import timedelta
from pathlib import Path

import pytest

from coach.authoring.check import check_folder
from coach.cli import main
from coach.commands.support.loading import client_store
from coach.model.answers_file import Answers
from coach.toml.diagnostic import render
from tests.clocks import START
from tests.plans import next_plan
from tests.screens.plain.output_lines import newest, run_with_answers

_DOSES = """
[[doses]]
position = "45"
repetitions_min = 6
repetitions_max = 9
tempo = { out_s = 4.0, hold_s = 1.0, back_s = 4.0, relax_s = 2.0 }
"""


@pytest.fixture
def client(demo_profiles: Path) -> Path:
    """A client who begins at the side, with a dose of its own at 45 degrees."""
    folder = demo_profiles / "tern"
    path = folder / "prescription.toml"
    text = path.read_text(encoding="utf-8").replace('positions = ["0"]', 'positions = ["0", "45"]')
    path.write_text(text + _DOSES, encoding="utf-8")
    return folder


def _steer(client: Path, *what: str) -> int:
    return main(["steer", str(client), *what, "--initials", "AB", "--reason", "seen", "--yes"])


def test_a_position_is_trained_with_its_own_dose(client: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert [render(fault) for fault in check_folder(client)] == []
    at_the_side = next_plan(client).prescription.dose
    assert run_with_answers(client, Answers(), list[str]().append)
    assert _steer(client, "unlock_position", "position=45", "despite=range,strength") == 0
    dose = next_plan(client).prescription.dose
    assert (dose.repetitions_min, dose.repetitions_max, dose.tempo.out_s) == (6, 9, 4.0)
    assert (dose.sets, dose.rest_s, dose.days_a_week) == (
        at_the_side.sets,
        at_the_side.rest_s,
        at_the_side.days_a_week,
    )
    assert client_store(client).progress.repetitions == 6, "a position begins at the bottom of its own range"
    assert run_with_answers(client, Answers(), list[str]().append, START + timedelta(days=2))
    assert (newest(client).position, newest(client).repetitions, newest(client).dose) == ("45", 6, dose)
    capsys.readouterr()
    assert main(["preview", str(client), "--text"]) == 0
    assert "4 s out, 1 s hold, 4 s back" in capsys.readouterr().out


def test_it_is_changed_by_instruction(client: Path) -> None:
    tempo = [f"doses.45.tempo.{key}=2" for key in ("out_s", "hold_s", "back_s", "relax_s")]
    assert _steer(client, "change", "doses.45.repetitions_max=12", *tempo) == 0
    dose = client_store(client).prescription.dose_at("45")
    assert (dose.repetitions_min, dose.repetitions_max, dose.tempo.out_s) == (6, 12, 2.0)
    assert _steer(client, "change", "doses.45.repetitions_max=", "doses.45.repetitions_min=") == 0
    dose = client_store(client).prescription.dose_at("45")
    assert dose.repetitions_max == client_store(client).prescription.dose.repetitions_max


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (('position = "45"', 'position = "90"'), "doses names 90 degrees, which is not in positions"),
        (("repetitions_max = 9", "repetitions_max = 5"), "repetitions_max is below"),
        (("[[doses]]", '[[doses]]\nposition = "45"\n\n[[doses]]'), "two doses for 45 degrees"),
    ],
)
def test_a_dose_that_does_not_fit_is_told(client: Path, change: tuple[str, str], told: str) -> None:
    path = client / "prescription.toml"
    path.write_text(path.read_text(encoding="utf-8").replace(*change), encoding="utf-8")
    assert told in render(check_folder(client)[0])
