"""Where a client stands: progress.toml is used only while nothing that it was derived from has changed."""

import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from pathlib import Path
from typing import Any, cast

import grimp
import pytest
from msgspec.structs import replace

from coach.cli import main
from coach.commands.support.loading import plan_of_exercise
from coach.deciding_code import DECIDING_CODE
from coach.frozen import FromFile
from coach.model.content import Content, Messages
from coach.model.content_entries import Clinic
from coach.model.progress import Progress
from coach.model.record import Taught
from coach.session.plan import plan_session
from coach.session.runner import go_on, leave, pause
from coach.session.state import Instant, State
from coach.store import client_store
from coach.store.client_folder import ClientFolder, read_client_folder
from coach.store.client_paths import PRESCRIPTION, PROFILE, PROGRESS, RECORDS
from coach.store.client_store import FINGERPRINT, ClientStore
from coach.store.fingerprint import fingerprint_of
from coach.store.live_session import LiveSession, Opening, SaveFailed, open_session, start_session
from coach.store.records.record_damage import hash_of
from tests.clocks import START, FakeClock
from tests.demo.pristine import DEMO
from tests.plans import next_plan, shipped
from tests.store.therapist.instructions import signed


class Folded(Exception):
    """Raised in place of a fold."""


@pytest.fixture
def client(tmp_path: Path) -> Path:
    """A client with a history, and with the fingerprint of progress.toml."""
    folder = Path(shutil.copytree(DEMO / "plover", tmp_path / "plover"))
    assert ClientStore.read(folder, shipped()).save(START) is None
    assert (folder / FINGERPRINT).stat().st_mode & 0o777 == 0o600
    return folder


def _without_a_fold(folder: Path, content: Content, monkeypatch: pytest.MonkeyPatch) -> Progress:
    def refuse(*_: object) -> None:
        raise Folded

    with monkeypatch.context() as patched:
        patched.setattr(client_store, "fold_steps", refuse)
        store = ClientStore.read(folder, content)
        assert store.progress_before_open_record == store.progress
        return store.progress


def test_what_is_current_is_not_folded_and_is_the_same(client: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    expected = ClientStore.read(client, shipped()).folded_progress
    assert _without_a_fold(client, shipped(), monkeypatch) == expected


def _edit(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


@pytest.mark.parametrize(
    "changed",
    ["record", "renamed", "profile", "prescription", "progress", "fingerprint", "no_fingerprint"],
)
def test_any_change_of_the_files_is_noticed(changed: str, client: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    oldest = min((client / RECORDS).glob("*.toml"))
    match changed:
        case "record":
            _edit(oldest, "format = 1", "format =  1")
            oldest.write_text(re.sub("# whole [0-9a-f]+", "# whole", oldest.read_text(encoding="utf-8")))
        case "renamed":
            oldest.rename(oldest.with_stem(f"{oldest.stem}-2"))
        case "profile":
            _edit(client / PROFILE, "stature_m = 1.", "stature_m = 1.1#")
        case "prescription":
            _edit(client / PRESCRIPTION, "sets = ", "sets = 1#")
        case "progress":
            _edit(client / PROGRESS, "ready_sessions = ", "ready_sessions = 1")
        case "fingerprint":
            (client / FINGERPRINT).write_bytes(b"\xff")
        case "no_fingerprint":
            (client / FINGERPRINT).unlink()
    with pytest.raises(Folded):
        _without_a_fold(client, shipped(), monkeypatch)
    store = ClientStore.read(client, shipped())
    assert store.progress == store.folded_progress


def _changed(value: object) -> object:
    """Any other value of the same kind."""
    if isinstance(value, str):
        return f"{value}x"
    if isinstance(value, dict):
        return dict(list(value.items())[1:])
    if isinstance(value, tuple):
        return value[1:] if value else ("x",)
    assert isinstance(value, FromFile)
    name = next(name for name in type(value).model_fields if isinstance(getattr(value, name), _CHANGEABLE))
    return value.model_copy(update={name: _changed(getattr(value, name))})


_CHANGEABLE = (str, dict, FromFile)


@pytest.mark.parametrize("name", [name for name in Content.__struct_fields__ if name != "keep"])
def test_any_change_of_the_content_is_noticed(name: str, client: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Also of the regions of the pain key: the caseload said that a session stopped, and the next one began."""
    words = shipped().messages
    others = {"messages": replace(words, language="xx"), "clinic": Clinic(phone="01234")}
    changed = others[name] if name in others else _changed(getattr(shipped(), name))
    with pytest.raises(Folded):
        _without_a_fold(client, replace(shipped(), **cast(Any, {name: changed})), monkeypatch)


def test_every_field_of_the_messages_counts_but_those_read_on_request() -> None:
    """Nothing is left out that a field holds, whichever it is."""
    messages = shipped().messages
    for name in Messages.__struct_fields__:
        value = getattr(messages, name)
        if callable(value):
            assert name in ("read_therapist", "read_coach", "read_letter")
        else:
            other = replace(messages, **cast(Any, {name: _changed(value)}))
            assert fingerprint_of(other) != fingerprint_of(messages), name


def test_a_value_of_an_unknown_type_has_no_fingerprint() -> None:
    with pytest.raises(TypeError, match="no fingerprint of set"):
        fingerprint_of({1})
    assert fingerprint_of(date(2026, 1, 1), None) != fingerprint_of(date(2026, 1, 2), None)


def test_the_code_that_decides_lies_in_the_packages_that_are_fingerprinted() -> None:
    graph = grimp.build_graph("coach")
    behind = graph.find_upstream_modules("coach.progression.state_machine")
    assert {module.split(".")[1] for module in behind} <= set(DECIDING_CODE)


def _left_open(client: Path, days: int = 2) -> Path:
    """A record that was left open, so many days after the last one."""
    newest = max((client / RECORDS).glob("*.toml"))
    later = read_client_folder(client).records[-1].started + timedelta(days=days)
    head = newest.read_text(encoding="utf-8").split("# whole")[0]
    started = next(line for line in head.splitlines() if line.startswith("started"))
    path = client / RECORDS / f"{later:%Y-%m-%dT%H%M%S}.toml"
    path.write_text(head.replace(started, f"started = {later.isoformat()}") + "# whole\n", encoding="utf-8")
    return path


def test_a_record_left_open_is_folded_onto_what_is_current(client: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the client stood before it is known without a fold; where they stand now needs one."""
    before = ClientStore.read(client, shipped()).folded_progress
    _left_open(client)
    with monkeypatch.context() as patched:
        patched.setattr(client_store, "fold_steps", None)
        store = ClientStore.read(client, shipped())
        assert store.folder.open_record is not None
        assert store.progress_before_open_record == before
    assert store.progress == store.folded_progress
    (client / FINGERPRINT).unlink()
    assert ClientStore.read(client, shipped()).progress_before_open_record == before


def _session(client: Path, clock: FakeClock) -> LiveSession:
    return start_session(open_session(ClientStore.read(client, shipped(), repair=True), clock()), clock)


def test_an_instruction_after_an_interrupted_session_comes_after_it(demo_profiles: Path) -> None:
    """One order of the fold: the session is closed as it was begun, and progress.toml is never put aside."""
    client, clock = demo_profiles / "plover", FakeClock(START + timedelta(days=2))
    _session(client, clock).act(go_on)
    clock.advance(600)
    step = next_plan(client).ladder.steps[0]
    load = {"load.grade": step.grade, "load.strands": str(step.strands), "load.distance_cm": str(step.distance_cm)}
    signed(client, "overrule", at=clock().at, **load)
    clock.advance(60)
    opening = open_session(ClientStore.read(client, shipped(), repair=True), clock())
    assert opening.interrupted is None  # under the instruction it would be another session
    assert opening.plan.step.grade == step.grade
    _ends_in_agreement(client, opening, clock)


def test_a_session_interrupted_after_an_instruction_leaves_no_copy(demo_profiles: Path) -> None:
    client, clock = demo_profiles / "plover", FakeClock(START + timedelta(days=2))
    signed(client, "overrule", at=clock().at, repetitions="12")
    clock.advance(600)
    _session(client, clock).act(go_on)
    clock.advance(100_000)
    opening = open_session(ClientStore.read(client, shipped(), repair=True), clock())
    _ends_in_agreement(client, opening, clock)


def _ends_in_agreement(client: Path, opening: Opening, clock: FakeClock) -> None:
    for _ in range(2):
        store = ClientStore.read(client, shipped())
        assert store.folder.open_record is None
        assert store.agreement == "agrees"
        assert store.is_current
        assert list(client.glob("progress.kept*")) == []
        told = store.records[-1].ended
        assert told is not None
        assert told.decision == store.sessions[-1].decision
        start_session(opening, clock).act(leave)
        clock.advance(100_000)
        opening = open_session(ClientStore.read(client, shipped()), clock())


def test_what_is_up_to_date_is_not_written_again(client: Path) -> None:
    """A start waits for each file that is flushed to the disk."""
    ClientStore.read(client, shipped()).save(START)
    before = {name: (client / name).stat().st_ino for name in ("progress.toml", FINGERPRINT)}
    assert ClientStore.read(client, shipped()).save(START) is None
    assert {name: (client / name).stat().st_ino for name in before} == before
    (client / "progress.toml").unlink()
    ClientStore.read(client, shipped()).save(START)
    assert (client / "progress.toml").exists()


def test_an_instruction_signed_for_a_later_day_comes_after_the_session(client: Path) -> None:
    """The session begins under it, for it is there; in order of time it is applied after."""
    text = '\n[[sign_offs]]\nwhat = "end_review"\nat = 2030-01-01T09:00:00Z\ninitials = "AB"\nreason = "Seen."\n'
    with (client / PRESCRIPTION).open("a", encoding="utf-8") as file:
        file.write(text)
    _session(client, FakeClock(START + timedelta(days=2))).act(leave)
    store = ClientStore.read(client, shipped())
    assert store.is_current
    assert store.progress == store.folded_progress
    assert store.progress.looked_at is not None
    assert store.progress.looked_at.year == 2030


def test_a_rebuild_does_not_trust_the_fingerprint(client: Path) -> None:
    """Somebody made a fingerprint of their own: `progress` takes it, a rebuild does not."""
    _edit(client / PROGRESS, "repetitions = 15", "repetitions = 14")
    forged = ClientStore.read(client, shipped())
    digest = hash_of((client / PROGRESS).read_bytes())
    (client / FINGERPRINT).write_text(f"{forged._fingerprint()}\n{digest}\n", encoding="ascii")
    store = ClientStore.read(client, shipped())
    assert store.progress.repetitions == 14
    store.rebuild(START)
    assert ClientStore.read(client, shipped()).progress.repetitions == 15


def test_the_newest_record_is_found_among_those_near_it_by_name(client: Path) -> None:
    folder = read_client_folder(client)
    assert folder.newest == folder.stored_records[-1]
    assert len(folder.records) > 3


def test_a_load_asked_for_in_one_position_is_not_asked_for_in_another(demo_profiles: Path) -> None:
    client = demo_profiles / "heron"
    shutil.copytree(client, demo_profiles / "untouched")
    store = ClientStore.read(client)
    step = plan_session(store.profile, store.prescription, store.content, store.progress).ladder.steps[-1]
    load = {"load.grade": step.grade, "load.strands": str(step.strands), "load.distance_cm": str(step.distance_cm)}
    signed(client, "overrule", **load)
    assert next_plan(client).step.grade == step.grade
    other = next(degrees for degrees in store.prescription.positions if degrees != store.progress.position)
    plan = plan_of_exercise(ClientStore.read(client), other)
    untouched = plan_of_exercise(ClientStore.read(client.parent / "untouched"), other)
    assert plan.step == untouched.step != step


def test_a_rebuild_locks_before_it_reads(client: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A session that ended between reading and writing would be missing from progress.toml."""
    done: list[str] = []

    @contextmanager
    def noted(_: Path) -> Iterator[None]:
        done.append("lock")
        yield

    def read(path: Path, repair: bool = False) -> ClientFolder:
        done.append("read")
        return read_client_folder(path, repair)

    monkeypatch.setattr("coach.store.client_store.lock", noted)
    monkeypatch.setattr("coach.store.client_store.read_client_folder", read)
    assert main(["history", str(client), "--rebuild"]) == 0
    assert (done[0], set(done[1:])) == ("lock", {"read"})


def test_an_entry_that_cannot_be_written_ends_no_session(client: Path) -> None:
    """It is told as a full disk is: the answer is asked again, and those before and after it are kept."""
    clock = FakeClock()
    session = _session(client, clock)
    before = session.act(pause)

    def unfit(state: State, now: Instant) -> State:
        return state._replace(record=state.record.with_entry(Taught(at=now.at, fault="x" * 60)))

    with pytest.raises(SaveFailed, match="nothing was written, because it could not be read again: fault"):
        session.act(unfit)
    assert session.state == before
    session.act(leave)
    (*_, newest) = read_client_folder(client).records
    assert newest.ended is not None
