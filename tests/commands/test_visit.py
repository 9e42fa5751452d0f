"""coach visit without the page: shown first, signed only then; keys and values that are wrong."""

from pathlib import Path

import pytest

from coach.cli import main
from coach.store.client_folder import read_client_folder
from tests.clocks import FakeClock


@pytest.fixture(autouse=True)
def the_day(monkeypatch: pytest.MonkeyPatch) -> FakeClock:
    """The day after the demo histories, whatever the clock of this computer says."""
    clock = FakeClock()
    monkeypatch.setattr("coach.store.clock.now", clock)
    return clock


def _visit(client: Path, *arguments: str) -> int:
    return main(["visit", str(client), *arguments])


def test_what_was_measured_is_shown_beside_what_was_known_and_signed(
    demo_profiles: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Both sides of a client of format 1; the first letters of a choice are enough."""
    client = demo_profiles / "plover"
    typed = ("ranges.external.0.left.active_deg=55", "irritability=h", "form.external_rotation.elbow=1")
    assert _visit(client, *typed, "needs.review.on=2026-12-24", "--initials", "KB", "--yes") == 0
    told = capsys.readouterr().out
    assert "55 degrees, -15: counts as a change" in " ".join(told.split())
    assert "Irritability: high" in told
    assert "the elbow moved" in " ".join(told.replace(">", "").split())
    assert max(map(len, told.splitlines()[:-1])) <= 80
    folder = read_client_folder(client)
    (visit,) = folder.visits
    assert (visit.irritability, visit.form[0].seen, visit.form[0].client_said) == ("high", "once", "never")
    assert (visit.needs[0].how, visit.form[0].agrees) == ("ask_again", False)
    assert folder.profile.available_deg("0", "external") == 55
    assert _visit(client) == 0
    told = capsys.readouterr().out
    assert "No session since." in told
    assert f"{visit.day.isoformat()}  KB  visit  in review" in told


def test_without_yes_and_without_a_terminal_nothing_is_signed(
    demo_profiles: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _visit(demo_profiles / "plover", "note=seen", "--initials", "KB") == 3
    assert "add --yes" in capsys.readouterr().err
    assert not (demo_profiles / "plover" / "visits").exists()
    assert (demo_profiles / "plover" / "prescription.toml").exists()


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("kin=phone", "nearest: kind"),
        ("ranges.external.0.active_deg=70", "such as ranges.external.0.right.active_deg"),
        ("ranges.external.0.left.active=70", "nearest: active_deg"),
        ("ranges.external.0.lift.active_deg=70", "nearest: left"),
        ("ranges.external.30.left.active_deg=70", "has a position 30"),
        ("needs.pain.what=seen", "there is no need pain"),
        ("next_visit=2026-11-01", "not after the visit"),
        ("discharge.reason=goal_reached", '"moved", "other" to do: write one of them'),  # not not_reached
        ("discharge.reason=o", 'discharge.reason|reason = "o"'),  # other, or own wish
    ],
)
def test_what_is_wrong_is_told_with_the_nearest_right_word(
    demo_profiles: Path, capsys: pytest.CaptureFixture[str], typed: str, says: str
) -> None:
    assert _visit(demo_profiles / "plover", typed, "--initials", "KB", "--yes") != 0
    told = " ".join(capsys.readouterr().err.split())
    assert any(one in told for one in says.split("|"))
    assert not (demo_profiles / "plover" / "visits").exists()


def test_a_condition_of_a_day_to_come_is_not_signed_at_a_visit(
    demo_profiles: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    client = demo_profiles / "plover"
    typed = ("condition.kind=cuff_repair", "--initials", "KB", "--yes")
    assert _visit(client, "condition.on=2026-11-25", *typed) == 2
    assert "on is 2026-11-25, a day that is still to come" in capsys.readouterr().err
    assert read_client_folder(client).visits == ()
    assert _visit(client, "condition.on=2026-11-24", *typed) == 0


@pytest.mark.parametrize(
    ("values", "told"),
    [
        (("irritability=soft", "strengths.external.0.right.force_n=12:30"), "is not a number"),
        (("condition.kind=injection", "condition.on=25/12/2025"), "to do: write 2025-12-25"),
    ],
)
def test_what_is_to_be_done_fits_what_was_typed(
    values: tuple[str, ...], told: str, demo_profiles: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nobody types quotes on a command line, and there is no file yet in which something stands at a place."""
    clinic = demo_profiles / "clinic"
    clinic.mkdir()
    (clinic / "clinic.toml").write_text('format = 1\nname = "C"\ndates = "month first"\n', encoding="utf-8")
    assert main(["visit", str(demo_profiles / "tern"), *values, "--initials", "KB", "--yes"]) == 2
    said = capsys.readouterr().err
    assert told in said
    assert "quotes" not in said
    assert "visit.toml" not in said


@pytest.mark.parametrize("kind", ["Injection", "INJECTION", "injection"])
def test_a_condition_may_be_typed_with_capitals(kind: str, demo_profiles: Path) -> None:
    client, typed = demo_profiles / "tern", (f"condition.kind={kind}", "condition.on=2026-11-01")
    assert main(["visit", str(client), *typed, "--initials", "KB", "--yes"]) == 0
    assert main(["visit", str(client), f"condition_over={kind}", "--initials", "KB", "--yes"]) == 0
    first, second = read_client_folder(client).visits
    assert [one.kind for one in first.condition] == ["injection"]
    assert second.condition_over == ("injection 2026-11-01",)
