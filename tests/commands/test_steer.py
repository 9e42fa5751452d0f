"""coach steer: what changes is shown, then it is signed; nobody asked, nothing written."""

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


def _steer(client: Path, *arguments: str) -> int:
    return main(["steer", str(client), *arguments])


SIGNED = ("--initials", "KB", "--reason", "seen today")


def test_the_change_is_shown_beside_what_was_and_signed(
    demo_profiles: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    client = demo_profiles / "plover"
    assert _steer(client, "change", "dose.sets=2", "limits.pain_max=3", *SIGNED, "--yes") == 0
    told = capsys.readouterr().out
    assert "Dose: 3 sets of 15 (range 8 to 15),    ! Dose: 2 sets of 15" in told
    assert "Rest before set 3 of 3: 60 s           <" in told
    assert "Signed by KB" in told
    assert "Sets: 3 -> 2; Highest pain that is allowed, pain_max: 4 -> 3" in told.replace("\n", " ")
    assert max(map(len, told.splitlines()[:-1])) <= 80
    assert read_client_folder(client).prescription.dose.sets == 2


def test_without_a_terminal_and_without_yes_nothing_is_signed(
    demo_profiles: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    client = demo_profiles / "plover"
    before = (client / "prescription.toml").read_bytes()
    assert _steer(client, "unlock_position", "45", "despite=strength", *SIGNED) == 3
    told = capsys.readouterr()
    assert "! Position: 45 degrees" in told.out
    assert "add --yes" in told.err
    assert (client / "prescription.toml").read_bytes() == before


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("unlock_position", "45"), "reason is empty"),
        (("unlock_position", "45", "--initials", "kb", "--reason", "ready"), "nearest: KB"),
        (("unlock", "45", *SIGNED), "write the key as in prescription.toml"),
        (("unlock", "position=45", *SIGNED), "nearest: unlock_position"),
        (("change", "dose.sets", *SIGNED), "is not KEY=VALUE"),
        (("change", "Dose Sets=2", *SIGNED), "is not changed by an instruction"),
        (("overrule", "grade=knotted", *SIGNED), "strands is missing"),
        (("freeze_load", "2026-01-14", *SIGNED), "until is 2026-01-14, a day that is over"),
        (("change", "repaired_on=2026-11-25", *SIGNED), "repaired_on is 2026-11-25, a day that is still to come"),
    ],
)
def test_what_does_not_fit_is_said_and_nothing_is_written(
    demo_profiles: Path, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], says: str
) -> None:
    client = demo_profiles / "plover"
    before = (client / "prescription.toml").read_bytes()
    assert _steer(client, *arguments, "--yes") == 2
    assert says in capsys.readouterr().err
    assert (client / "prescription.toml").read_bytes() == before


def test_the_words_so_far_are_listed_the_newest_first(
    demo_profiles: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    client = demo_profiles / "heron"
    assert _steer(client, "freeze_load", "2027-01-06", *SIGNED, "--yes") == 0
    at = read_client_folder(client).prescription.sign_offs[-1].at
    assert _steer(client, "take_back", at.isoformat(), "--initials", "LM", "--reason", "too long", "--yes") == 0
    capsys.readouterr()
    assert _steer(client) == 0
    told = capsys.readouterr().out
    order = [told.index(phrase) for phrase in ("take back an instruction", "freeze the load", "(Position: 90)")]
    assert order == sorted(order)
    assert "by LM: too long" in told
    assert "can be taken back" not in told


def test_a_word_is_taken_back_by_the_time_that_was_told_or_the_newest_by_none(
    demo_profiles: Path, capsys: pytest.CaptureFixture[str], the_day: FakeClock
) -> None:
    client = demo_profiles / "plover"
    assert _steer(client, "take_back", *SIGNED, "--yes") == 2
    assert "there is no instruction to take back" in capsys.readouterr().err
    for sets in (2, 4, 5):
        the_day.advance(30)
        assert _steer(client, "change", f"dose.sets={sets}", *SIGNED, "--yes") == 0
    told = [f"{word.at:%Y-%m-%d %H:%M}" for word in read_client_folder(client).prescription.sign_offs]
    assert f"Signed by KB at {told[0]}" in capsys.readouterr().out
    assert _steer(client, "take_back", told[2], *SIGNED, "--yes") == 2
    assert f"2 instructions were signed at {told[2]}" in capsys.readouterr().err
    for typed, left in (((), 4), ((), 2), ((told[0],), 3)):
        the_day.advance(30)
        assert _steer(client, "take_back", *typed, *SIGNED, "--yes") == 0
        assert read_client_folder(client).prescription.dose.sets == left


def test_what_to_do_is_not_said_as_if_it_were_a_file(demo_profiles: Path, capsys: pytest.CaptureFixture[str]) -> None:
    client = demo_profiles / "plover"
    assert _steer(client, "freeze_load", "4.3.2026", *SIGNED, "--yes") == 2
    assert _steer(client, "overrule", "grade=knotted", *SIGNED, "--yes") == 2
    told = capsys.readouterr().err
    assert "expected: a date such as 2026-03-04" in told
    assert "without quotes" not in told
    assert "add a line" not in told


def test_the_day_of_a_repair_is_every_exercises_and_needs_none_named(demo_profiles: Path) -> None:
    client = demo_profiles / "curlew"
    assert _steer(client, "change", "repaired_on=2026-11-10", *SIGNED, "--yes") == 0
    folder = read_client_folder(client)
    assert [one.exercise for one in folder.signed] == [None]
    assert {str(folder.for_exercise(name).prescription.repaired_on) for name in folder.prescribed.names} == {
        "2026-11-10"
    }


@pytest.mark.parametrize("values", [("dose.sets=1",), ("repaired_on=2026-11-10", "dose.sets=1"), ()])
def test_what_is_of_one_exercise_names_it(
    values: tuple[str, ...], demo_profiles: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _steer(demo_profiles / "curlew", "change", *values, *SIGNED, "--yes") == 2
    assert "name it with --exercise" in capsys.readouterr().err
