"""A month between home and clinic, with clocks an hour apart: late, twice, out of order, in part; nothing is lost."""

from datetime import datetime, timedelta
from pathlib import Path

import pytest

from coach.model.measured.measured_set import MeasuredSet
from coach.model.programme.written import Written
from coach.store.client_folder import progress_text, records_folder
from coach.store.client_store import ClientStore
from coach.store.measured_sets.measured_files import keep_measured
from coach.store.programme.opening import arrived_lines
from coach.store.programme.this_computer import written_now
from coach.store.records import record_file
from coach.toml.writer import dump
from tests.exchange.machines import Clinic, Home, Machine, clinic_and_home, content, new_client, put
from tests.exchange.test_refused import refused, rewritten
from tests.store.programme.test_merges import copy_all, sessions
from tests.store.programme.test_visits import RANGE
from tests.store.programme.test_visits import sign as sign_visit

MONDAY = datetime.fromisoformat("2026-11-02T10:00:00+01:00")


def heads(machine: Machine) -> Written:
    """What a computer knows when it writes."""
    with machine.on():
        return written_now(ClientStore.read(machine.client, content()).folder.written)


def train(home: Home, at: datetime, kind: str = "clean") -> str:
    """A session, as the clock at home has it."""
    session = sessions()[kind].moved_to(at + home.ahead).model_copy(update={"written": heads(home)})
    path = record_file.create(records_folder(home.client), session.model_copy(update={"entry": ()}))
    record_file.append(path, session.entry)
    return f"records/{path.name}"


def sign(clinic: Clinic, at: datetime, what: str, **values: object) -> str:
    """An instruction in the clinic."""
    signed = {"format": 2, "at": at, "initials": "KB", "what": what, **values, "reason": "seen"}
    path = clinic.client / "instructions" / f"{at:%Y-%m-%dT%H%M%S}-KB.toml"
    path.parent.mkdir(exist_ok=True)
    path.write_text(dump({**signed, "written": heads(clinic).model_dump()}))
    return f"instructions/{path.name}"


def progress_of(client: Path) -> str:
    """Where the client stands, from the records and instructions alone."""
    return progress_text([one.folded_progress for one in ClientStore.read(client, content()).exercises])


@pytest.fixture
def both(tmp_path: Path) -> tuple[Clinic, Home]:
    """A clinic and a home that know each other."""
    clinic, home = clinic_and_home(tmp_path)
    clinic.take(put(tmp_path, "hello", home.send().data))
    home.take(put(tmp_path, "welcome", clinic.send()[0].data))
    return clinic, home


def test_a_month_late_twice_out_of_order_and_in_part(both: tuple[Clinic, Home], tmp_path: Path) -> None:
    clinic, home = both
    written, from_home, from_clinic = list[str](), list[Path](), list[Path]()
    for week in range(4):
        for day in (0, 3):
            written.append(train(home, MONDAY + timedelta(weeks=week, days=day)))
        from_home.append(put(tmp_path, f"home{week}", home.send().data))
        what = ("freeze_load", "lift_freeze", "cap_position", "lift_caps")[week]
        values = {"position": "0"} if what == "cap_position" else {}
        written.append(sign(clinic, MONDAY + timedelta(weeks=week, days=5), what, exercise="outward_right", **values))
        from_clinic.append(put(tmp_path, f"clinic{week}", clinic.send()[0].data))
        if week == 1:  # the second week's come first, the first week's late, one of them twice
            for file in (from_home[1], from_home[0], from_home[1]):
                assert clinic.take(file).refused == ()
            assert home.take(from_clinic[1]).refused == ()
    assert home.take(from_clinic[0], from_clinic[3]).refused == ()  # the third week's are lost both ways
    assert clinic.take(from_home[3]).refused == ()
    merged = new_client(tmp_path / "merged")
    for machine in (clinic, home):
        assert [name for name in written if not (machine.client / name).exists()] == []
        copy_all(machine.client, merged)
    assert progress_of(clinic.client) == progress_of(home.client) == progress_of(merged)


def test_a_sign_is_not_erased_by_a_release_that_did_not_know_of_it(both: tuple[Clinic, Home], tmp_path: Path) -> None:
    """A sign at home at ten, a release signed in the clinic two minutes later, by clocks an hour apart."""
    clinic, home = both
    train(home, MONDAY, "sign")
    sign(clinic, MONDAY + timedelta(minutes=2), "end_review")
    clinic.take(put(tmp_path, "sign", home.send().data))
    home.take(put(tmp_path, "release", clinic.send()[0].data))
    for machine in (clinic, home):
        each = [one.folded_progress for one in ClientStore.read(machine.client, content()).exercises]
        assert {one.status for one in each} == {"review"}
        assert [one.what for one in each[0].pending] == ["end_review"]
    may_go_on = content().messages.client.exchange.instruction["end_review"]
    assert may_go_on not in " ".join(arrived_lines(ClientStore.read(home.client, content()))), "it does not count yet"
    sign(clinic, MONDAY + timedelta(hours=3), "end_review")
    home.take(put(tmp_path, "again", clinic.send()[0].data))
    each = [one.folded_progress for one in ClientStore.read(home.client, content()).exercises]
    assert {one.status for one in each} == {"active"}
    assert may_go_on in " ".join(arrived_lines(ClientStore.read(home.client, content())))


def test_an_instruction_is_not_swallowed_by_a_session_that_did_not_know_of_it(
    both: tuple[Clinic, Home], tmp_path: Path
) -> None:
    """A limit signed in the clinic while the client trains at home holds on both sides from then on."""
    clinic, home = both
    sign(clinic, MONDAY, "cap_position", exercise="outward_right", position="0")
    train(home, MONDAY + timedelta(minutes=30))
    home.take(put(tmp_path, "cap", clinic.send()[0].data))
    clinic.take(put(tmp_path, "session", home.send().data))
    for machine in (clinic, home):
        store = ClientStore.read(machine.client, content())
        assert [one.what for one in store.folder.signed] == ["cap_position"]
        capped = store.for_exercise("outward_right").folded_progress
        assert capped.position == "0"
    assert progress_of(clinic.client) == progress_of(home.client)


def test_a_side_that_has_lost_something_is_told_what(both: tuple[Clinic, Home], tmp_path: Path) -> None:
    """The clinic's folder is restored from a backup before an instruction that home has."""
    clinic, home = both
    signed = sign(clinic, MONDAY, "freeze_load", exercise="outward_right")
    writer = heads(clinic).writer
    home.take(put(tmp_path, "signed", clinic.send()[0].data))
    (clinic.client / signed).unlink()
    (came,) = clinic.take(put(tmp_path, "later", home.send().data)).came
    assert came.notes == (
        f"the other side has 1 more written by the computer {writer} than there are here: a file is still to come, "
        "or this side was restored from a backup",
    )
    assert not (clinic.client / "exchange" / "arrived.toml").exists()  # nothing came but a receipt


@pytest.mark.parametrize("measured_at_home", [True, False])
def test_a_measured_fault_holds_on_both_sides(
    measured_at_home: bool, both: tuple[Clinic, Home], tmp_path: Path
) -> None:
    """Wherever the set was measured, what the session counted towards a rise no longer counts on either side."""
    clinic, home = both
    name = train(home, MONDAY)
    clinic.take(put(tmp_path, "session", home.send().data))
    free = progress_of(clinic.client)
    fault = MeasuredSet(
        format=1, record=name.partition("/")[2], set=1, kept=MONDAY + timedelta(days=1), exercise="external_rotation",
        name="outward_right", position="45", table="t.csv", sha256="0" * 64, columns=("c",) * 7,
        units=("s", "g", "deg/s"), rate_hz=50.0, count=12, faults=("off_tempo",), holds=True,
    )  # fmt: skip
    (kept,) = keep_measured((home if measured_at_home else clinic).client, [fault])
    if measured_at_home:
        clinic.take(put(tmp_path, "set", home.send().data))
    else:
        home.take(put(tmp_path, "set", clinic.send()[0].data))
    for machine in (clinic, home):
        assert (machine.client / "measured" / kept.name).read_bytes() == kept.read_bytes()
    assert progress_of(clinic.client) == progress_of(home.client) != free


def test_what_was_measured_at_a_visit_holds_at_home(both: tuple[Clinic, Home], tmp_path: Path) -> None:
    clinic, home = both
    with clinic.on():
        signed = sign_visit(clinic.client, RANGE.format(side="right", active=55), MONDAY)
    sent = clinic.send()[0]
    assert [name.partition("/")[0] for name in sent.names] == ["visits"]
    home.take(put(tmp_path, "visit", sent.data))
    assert ClientStore.read(home.client, content()).folder.visits == (signed,)
    assert progress_of(home.client) == progress_of(clinic.client)
    unreadable = rewritten(
        clinic, home, tmp_path / "visit.sealed", files={"visits/a.toml": 'format = 2\nnotes = "x"\n'}
    )
    assert "initials" in refused(home, lambda: home.take(unreadable))
