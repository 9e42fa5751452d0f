"""The therapist signs for one exercise of a programme: a file for each instruction, a new version for each change."""

import shutil
import tomllib
from datetime import timedelta
from pathlib import Path

import pytest
from msgspec.structs import replace

from coach.cli import main
from coach.content_files.caseload_needs import load_needs
from coach.content_files.content_folder import content_folder
from coach.model.answers_file import Answers
from coach.progression.needs import needs_of
from coach.reports.text.history import client_history_text
from coach.store.client_folder import read_client_folder
from coach.store.client_store import ClientStore
from coach.store.client_summary import summary_of
from coach.store.live_session import open_session, start_session
from coach.store.therapist.check_client import check_profile
from tests.store.programme.by_hand import MONDAY, Clock, content, open_live, over, play, sessions_of

SIGNED = ("--initials", "KB", "--reason", "seen today", "--yes")


@pytest.fixture
def client(demo_profiles: Path) -> Path:
    """The demo client with a programme of four exercises."""
    return demo_profiles / "curlew"


def test_a_change_is_a_new_version_and_the_old_one_stays(client: Path) -> None:
    before = (client / "programme" / "0001.toml").read_bytes()
    assert main(["steer", str(client), "change", "dose.sets=3", "--exercise", "row_right", *SIGNED]) == 0
    assert (client / "programme" / "0001.toml").read_bytes() == before
    text = (client / "programme" / "0002.toml").read_text(encoding="utf-8")
    assert "# What the therapist (initials KB" in text
    programme = tomllib.loads(text)
    assert [one.get("dose", programme["dose"])["sets"] for one in programme["exercises"]] == [2, 2, 2, 3]
    (signed,) = read_client_folder(client).signed
    assert (signed.what, signed.exercise) == ("change", "row_right")


def test_a_change_that_another_computer_wrote_over_is_told(client: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    other = Path(shutil.copytree(client, client.with_name("elsewhere")))
    for folder, sets, writer in ((client, 3, "cliniccc"), (other, 1, "branchdd")):
        monkeypatch.setattr("coach.store.programme.this_computer.writer_name", lambda writer=writer: writer)
        assert main(["steer", str(folder), "change", f"dose.sets={sets}", "--exercise", "row_right", *SIGNED]) == 0
        assert check_profile(folder, content()) == ()
    brought = {one.name for one in (other / "instructions").iterdir()}
    for name in brought:
        shutil.copy(other / "instructions" / name, client / "instructions" / name)
    (fault,) = check_profile(client, content())
    assert fault.what == "dose.sets = 1 was signed, and no version of the programme has it"
    assert fault.path.name in brought
    shutil.copy(other / "programme" / "0002.toml", client / "programme" / "0003.toml")
    assert check_profile(client, content()) == ()


def test_an_instruction_is_for_its_exercise_alone(client: Path) -> None:
    assert main(["steer", str(client), "freeze_load", "--exercise", "outward_left", *SIGNED]) == 0
    assert [one.progress.frozen for one in ClientStore.read(client, content()).exercises] == [
        False,
        True,
        False,
        False,
    ]
    assert main(["steer", str(client), "take_back", "--exercise", "outward_left", *SIGNED]) == 0
    assert not any(one.progress.frozen for one in ClientStore.read(client, content()).exercises)


def test_a_repair_is_noted_for_all_of_them_and_closes_what_was_allowed(
    client: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("coach.store.clock.now", Clock(MONDAY))
    assert main(["steer", str(client), "allow_strengthening", *SIGNED]) == 0
    day = (MONDAY - timedelta(days=2)).date()
    noted = ["steer", str(client), "change", f"repaired_on={day}"]
    of_one = ("--exercise", "row_right", *SIGNED)
    assert main([*noted, "dose.sets=3", *of_one]) == 2
    assert "repaired_on is for every exercise of the programme, and dose.sets for one" in capsys.readouterr().err
    assert main([*noted, *of_one]) == 0
    assert [one.exercise for one in read_client_folder(client).signed] == [None, None]

    def standing() -> set[tuple[bool, object]]:
        store = ClientStore.read(client, content())
        return {(one.progress.may_strengthen, one.admission(MONDAY).obstacle) for one in store.exercises}

    assert standing() == {(False, "rule")}
    assert check_profile(client, content(), ("en",)) == ()
    assert main(["steer", str(client), "allow_strengthening", *SIGNED]) == 0
    assert standing() == {(True, None)}


@pytest.mark.parametrize("what", ["allow_strengthening", "end_review", "know_night_pain"])
def test_what_is_for_every_exercise_is_signed_for_no_single_one(
    client: Path, capsys: pytest.CaptureFixture[str], what: str
) -> None:
    assert main(["steer", str(client), what, "--exercise", "outward_left", *SIGNED]) == 2
    assert f"{what} is for every exercise of the programme: leave --exercise out" in capsys.readouterr().err
    assert not read_client_folder(client).signed
    assert main(["steer", str(client), what, *SIGNED]) == 0
    shown = " ".join(capsys.readouterr().out.split())
    assert "This is for every exercise of the" in shown


def test_the_end_of_a_review_is_for_all_of_them(client: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    clock = Clock()
    play(open_live(client, clock), clock, lambda state: state.over, Answers(answer={"sign": "gave_way"}))
    monkeypatch.setattr("coach.store.clock.now", Clock(MONDAY + timedelta(hours=2)))
    assert main(["steer", str(client), "end_review", *SIGNED]) == 0
    assert {one.progress.status for one in ClientStore.read(client, content()).exercises} == {"active"}


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (["freeze_load"], "name it with --exercise, one of outward_right, outward_left, inward_right, row_right"),
        (["freeze_load", "--exercise", "outward_lft"], "nearest: outward_left"),
    ],
)
def test_the_exercise_is_asked_for(
    client: Path, typed: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["steer", str(client), *typed, *SIGNED]) == 2
    assert told in " ".join(capsys.readouterr().err.split())
    assert not (client / "instructions").exists()


def test_a_session_under_a_wrong_clock_locks_nobody_out(client: Path) -> None:
    """The next one is done with the date confirmed, and the days are counted from it."""
    wrong = Clock(MONDAY + timedelta(days=40))
    play(open_live(client, wrong), wrong, over)
    clock = Clock(MONDAY)
    with ClientStore.locked(client, content()) as store:
        assert store.admission(MONDAY).obstacle == "clock"
    with ClientStore.locked(client, content()) as store:
        sure = replace(store, date_confirmed=True)
        play(start_session(open_session(sure, clock()), clock), clock, over)
    session = next(one for one in sessions_of(client) if one.confirmed_on is not None)
    assert session.confirmed_on == MONDAY.date()
    after = ClientStore.read(client, content())
    assert after.admission(MONDAY + timedelta(days=2)).may_start
    assert after.progress.last_session == session.started
    assert max(one.started for one in after.records) == session.started


def test_what_was_signed_unknowing_is_told_until_it_is_signed_again(
    client: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A clinic that has not received the session with the sign ends the review that it does not know."""
    clock = Clock()
    play(open_live(client, clock), clock, lambda state: state.over, Answers(answer={"sign": "gave_way"}))
    (client / "instructions").mkdir()
    blind = 'format = 2\nat = 2026-11-30T20:00:00+01:00\ninitials = "KB"\nwhat = "end_review"\nreason = "rang"\n'
    text = f'{blind}\n[written]\nwriter = "cliniccc"\nnumber = 1\n'
    (client / "instructions" / "from_the_clinic.toml").write_text(text, encoding="utf-8")
    needs, limits = load_needs(content_folder()), {limit.name: limit.value for limit in content().limits}

    def told() -> list[str]:
        return [need.name for need in needs_of(summary_of(client, content()), needs, limits, MONDAY.date())]

    assert {one.progress.status for one in ClientStore.read(client, content()).exercises} == {"review"}
    assert "signed_unknowing" in told()
    assert main(["steer", str(client)]) == 0
    assert "It does not count yet" in " ".join(capsys.readouterr().out.split())
    assert main(["steer", str(client), "end_review", *SIGNED]) == 0
    assert {one.progress.status for one in ClientStore.read(client, content()).exercises} == {"active"}
    assert "signed_unknowing" not in told()


def test_positions_can_be_narrowed_after_one_was_cleared(client: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What was signed for the position stays; what is signed from then on cannot name it."""
    row = ("--exercise", "outward_right", *SIGNED)
    for words in (("unlock_position", "45", "despite=range,strength,order"), ("unlock_position", "0")):
        assert main(["steer", str(client), *words, *row]) == 0
    assert main(["steer", str(client), "change", "positions=0", *row]) == 0
    assert check_profile(client, content()) == ()
    store = ClientStore.read(client, content()).for_exercise("outward_right")
    assert (store.prescription.positions, store.progress.position) == (("0",), "0")
    assert main(["steer", str(client), "cap_position", "45", *row]) != 0
    assert "45 degrees, which is not in positions" in capsys.readouterr().err
    assert main(["steer", str(client), "freeze_load", *row]) == 0
    text = client_history_text(ClientStore.read(client, content()).for_exercise("outward_right"))
    signed = [line for line in text.splitlines() if line.startswith("Signed")]
    assert [line.split("KB  ")[1].partition(":")[0].partition(" (")[0] for line in signed] == [
        "clear a position",
        "clear a position",
        "change the prescription",
        "freeze the load",
    ]
